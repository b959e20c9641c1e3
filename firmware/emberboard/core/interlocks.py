"""The questions that stop the air. Each is one boolean, from plain numbers, and reads aloud.

They know nothing of the controller and have the last word after it. Which part each needs is said
in its docstring; without that part the docs say *not watched*. No setting turns one off.
"""

BAD_SAMPLES = 3
OVER_SAMPLES = 2
ANSWER_RISE_C = 2.0
ANSWER_S = 720.0
ANSWER_DUTY = 0.35
ANSWER_NEAR_C = 5.0
LID_FALL_C = 6.0
LID_BACK_C = 1.5


def sensor_fault(bad_in_a_row):
    """Three bad samples in a row (needs: the pit probe). One or two are forgiven."""
    return bad_in_a_row >= BAD_SAMPLES


def impossible_jump(now_c, before_c, step_c):
    """A step between two samples that no heat can make (needs: the probe itself)."""
    return abs(now_c - before_c) >= step_c


def over_limit(samples_over):
    """Two samples in a row at or over the limit (needs: pit or stone probe)."""
    return samples_over >= OVER_SAMPLES


def at_or_over(value_c, limit_c):
    """One sample at or over its limit, degC."""
    return value_c >= limit_c


def asks_for_heat(duty, short_c):
    """Much air is commanded and the pit is short of what is wanted by more than a little."""
    return duty >= ANSWER_DUTY and short_c > ANSWER_NEAR_C


def not_answering(unanswered_s):
    """Air for twelve minutes without two degrees of rise (needs: pit probe and blower)."""
    return unanswered_s >= ANSWER_S


def lid_fell_open(quick_c, slow_c):
    """The pit is far below its own last minute: the lid is open (needs: pit probe)."""
    return slow_c - quick_c >= LID_FALL_C


def lid_is_back(quick_c, lowest_c):
    """The pit has turned and rises from its lowest: the lid is shut again."""
    return quick_c - lowest_c >= LID_BACK_C
