"""Bounds that no setting and no order can pass, and the defaults inside them.

The pit, stone and hold limits are this project's own figures, below what the parts are rated for;
the other numbers say where they come from beside them.
"""

PIT_LIMIT_C = 350.0
PIT_HARD_C = 400.0
STONE_LIMIT_C = 400.0
HOLD_MARGIN_C = 40.0
LOWEST_MARGIN_C = 30.0

# What a board's settings may make of them: lower, or the pit's up to its hard bound.
LIMIT_BOUNDS = (
    ("pit_limit_c", 150.0, PIT_HARD_C),
    ("stone_limit_c", 200.0, STONE_LIMIT_C),
    ("hold_margin_c", 20.0, HOLD_MARGIN_C),
)

TARGET_LOW_C = 40.0
TARGET_HIGH_C = 300.0
STONE_LOW_C = 100.0
STONE_HIGH_C = 380.0
PIT_LIMIT_LOW_C = 100.0
PULL_LOW_C = 20.0
PULL_HIGH_C = 110.0

# What the chips can say at all: outside is a fault, not a temperature.
PIT_RANGE_C = (-40.0, 700.0)
STONE_RANGE_C = (-40.0, 800.0)
CORE_RANGE_C = (-30.0, 200.0)

DRIVE_DEFAULT_S = 5400.0
DRIVE_SHORT_S = 60.0
DRIVE_LONG_S = 10800.0

DAMPER_FLOOR = 0.1
VENT_OPEN = 0.5  # a vent marked so far is an open one
KEEP_DUTY = 0.2  # of a pulse under an open lid

STARVED_RAISE_C = 200.0
STARVED_CLEAR_C = 150.0

KP_LOW, KP_HIGH = 0.0, 0.2
TI_LOW_S, TI_HIGH_S = 120.0, 14400.0
TD_LOW_S, TD_HIGH_S = 0.0, 900.0
B_LOW, B_HIGH = 0.0, 1.0

GAIN_BOUNDS = (
    ("kp", KP_LOW, KP_HIGH),
    ("ti_s", TI_LOW_S, TI_HIGH_S),
    ("td_s", TD_LOW_S, TD_HIGH_S),
    ("b", B_LOW, B_HIGH),
)

AT_COOKER_MS = 300000
"""A press on the board's button counts as somebody standing there for five minutes."""


def number(value):
    """Return `value` when it is an ordinary finite number, else None (text, NaN, None, bool)."""
    if value is None or value is True or value is False:
        return None
    try:
        if -1e9 < value < 1e9:
            return value
    except TypeError:
        pass
    return None


def within(value, low, high):
    """Return `value` when it is a number inside `low`..`high`, else None."""
    value = number(value)
    return value if value is not None and low <= value <= high else None


def clamp(value, low, high):
    """Return `value`, moved to the nearer end when it lies outside `low`..`high`."""
    if value < low:
        return low
    if value > high:
        return high
    return value
