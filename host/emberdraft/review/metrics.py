"""Figures of one stretch of a trace: pure functions over columns, None where the data do not allow a figure.

A trace is two columns of equal length: `t_s` (unix seconds, rising) and its values, None where there is none.
`wanted_c` is a column too, because a target may be changed in the middle of a phase. The words are those of the
textbook step response (settling, overshoot), as python-control's `step_info` uses them, but in degC and for a band
of plus or minus 3 degC instead of shares of the step.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

# The band that counts as on target, either side.
BAND_C = 3.0
# To have reached the target is to stay in the band this long, or from LAST_S before the end to the end: a phase
# often ends because its target was reached.
STAY_S = 300.0
LAST_S = 10.0
# Readings come each second; a longer step is a gap, and the reading before it counts for one second.
GAP_S = 3.0

Values = Sequence[float | None]


def durations_s(t_s: Sequence[float]) -> list[float]:
    """How long each reading stands for: until the next one, but 1 s before a gap; the last as the one before it."""
    steps = [later - earlier for earlier, later in pairwise(t_s)]
    spans = [step if step <= GAP_S else 1.0 for step in steps]
    return spans + spans[-1:] if spans else [1.0] * len(t_s)


def mean(t_s: Sequence[float], values: Values) -> float | None:
    """Mean over time."""
    pairs = [(value, span) for value, span in zip(values, durations_s(t_s), strict=True) if value is not None]
    total_s = sum(span for _, span in pairs)
    return sum(value * span for value, span in pairs) / total_s if total_s > 0.0 else None


def errors_c(values: Values, wanted_c: Values) -> list[float | None]:
    """Measured less wanted, None where either is missing."""
    pairs = zip(values, wanted_c, strict=True)
    return [None if value is None or wanted is None else value - wanted for value, wanted in pairs]


def share_within(t_s: Sequence[float], errors: Values, band_c: float = BAND_C) -> float | None:
    """Share of the time with a value that is spent in the band, 0..1."""
    return mean(t_s, [None if error is None else float(abs(error) <= band_c) for error in errors])


def first_reach(t_s: Sequence[float], errors: Values, band_c: float = BAND_C) -> int | None:
    """Place of the first reading in the band."""
    return next((k for k, error in enumerate(errors) if error is not None and abs(error) <= band_c), None)


def time_to_target_s(t_s: Sequence[float], errors: Values, band_c: float = BAND_C) -> float | None:
    """Seconds from the first reading until the band is entered and not left for STAY_S, or to the end (LAST_S)."""
    if not t_s:
        return None
    entered_s: float | None = None
    for now_s, error in zip(t_s, errors, strict=True):
        if error is None:
            continue
        if abs(error) > band_c:
            entered_s = None
        elif entered_s is None:
            entered_s = now_s
        if entered_s is not None and now_s - entered_s >= STAY_S:
            break
    if entered_s is None or t_s[-1] - entered_s < LAST_S:
        return None
    return entered_s - t_s[0]


def overshoot_c(t_s: Sequence[float], errors: Values) -> float | None:
    """Most above the target once the band has been reached, in degC; 0 when it never was above."""
    reached = first_reach(t_s, errors)
    if reached is None:
        return None
    return max(0.0, *(error for error in errors[reached:] if error is not None))


def shortfall_c(t_s: Sequence[float], errors: Values) -> float | None:
    """How far below the target a trace stayed that came from below and never reached the band, in degC."""
    present = [error for error in errors if error is not None]
    if not present or max(present) >= -BAND_C:
        return None
    return -max(present)


def rms_c(t_s: Sequence[float], errors: Values) -> float | None:
    """Root mean square distance from the target after the band was first reached, in degC."""
    reached = first_reach(t_s, errors)
    if reached is None:
        return None
    squares = [None if error is None else error * error for error in errors[reached:]]
    square = mean(t_s[reached:], squares)
    return None if square is None else math.sqrt(square)


def strokes_per_h(t_s: Sequence[float], duty: Values) -> float | None:
    """Travel of the air in full strokes an hour: a stroke is from nothing to all and back, two units of travel."""
    present = [value for value in duty if value is not None]
    total_s = sum(span for span, value in zip(durations_s(t_s), duty, strict=True) if value is not None)
    if len(present) < 2 or total_s <= 0.0:
        return None
    travel = sum(abs(later - earlier) for earlier, later in pairwise(present))
    return travel / 2.0 / (total_s / 3600.0)
