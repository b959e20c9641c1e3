"""Figures of merit as pure functions of recorded columns: times in s, temperatures in degC, air 0..1.

A window is a pair of indices (first, end), end exclusive. "Settles" is the step response's word: from that moment to
the window's end the value stays inside the band.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence

Window = tuple[int, int]
Column = Sequence[float]

BAND_C = 3.0
SHARE_BAND_C = 2.8


def window(t_s: Column, start_s: float, end_s: float = math.inf) -> Window:
    """The rows with start_s <= t < end_s."""
    return bisect_left(t_s, start_s), bisect_left(t_s, end_s)


def first_within(value_c: Column, target_c: Column, span: Window, band_c: float = BAND_C) -> int | None:
    """The first row of the span inside the band; None if there is none."""
    return next((i for i in range(*span) if abs(value_c[i] - target_c[i]) <= band_c), None)


def settled_s(t_s: Column, value_c: Column, target_c: Column, span: Window, band_c: float = BAND_C) -> float | None:
    """Seconds from the span's first row until the value is inside the band and stays; None: outside at the end."""
    first, end = span
    for i in range(end - 1, first - 1, -1):
        if abs(value_c[i] - target_c[i]) > band_c:
            return None if i == end - 1 else t_s[i + 1] - t_s[first]
    return 0.0 if end > first else None


def above_c(value_c: Column, target_c: Column, span: Window) -> float:
    """The highest excess over the target in the span, at least 0."""
    return max((value_c[i] - target_c[i] for i in range(*span) if value_c[i] > target_c[i]), default=0.0)


def rms_c(value_c: Column, target_c: Column, span: Window) -> float | None:
    """Root mean square of the error in the span; None for an empty one."""
    first, end = span
    if end <= first:
        return None
    return math.sqrt(sum((value_c[i] - target_c[i]) ** 2 for i in range(first, end)) / (end - first))


def share_within(value_c: Column, target_c: Column, span: Window, band_c: float = SHARE_BAND_C) -> float | None:
    """The share of rows inside the band, 0..1; None for an empty span."""
    first, end = span
    if end <= first:
        return None
    return sum(abs(value_c[i] - target_c[i]) <= band_c for i in range(first, end)) / (end - first)


def iae_cs(t_s: Column, value_c: Column, target_c: Column) -> float:
    """Integral of the absolute error in degC s; each row stands for the time since the row before."""
    total, before_s = 0.0, 0.0
    for now_s, value, target in zip(t_s, value_c, target_c, strict=True):
        total += abs(value - target) * (now_s - before_s)
        before_s = now_s
    return total


def strokes_per_hour(t_s: Column, air: Column, span: Window) -> float | None:
    """Travel of the blower as full strokes (0 to 1) an hour; None for an empty span."""
    first, end = span
    if end - first < 2:
        return None
    travel = sum(abs(air[i] - air[i - 1]) for i in range(first + 1, end))
    return travel * 3600.0 / (t_s[end - 1] - t_s[first])


def burnt_kg_per_hour(t_s: Column, fuel_kg: Column, span: Window) -> float | None:
    """Charcoal burnt an hour over the span; None for an empty one."""
    first, end = span
    if end - first < 2:
        return None
    return (fuel_kg[first] - fuel_kg[end - 1]) * 3600.0 / (t_s[end - 1] - t_s[first])


def first_alarm(alarms: Iterable[tuple[float, str]], after_s: float) -> tuple[float, str] | None:
    """The first alarm at or after a time, as (seconds since then, name)."""
    return next(((t_s - after_s, name) for t_s, name in alarms if t_s >= after_s), None)


def count_before(alarms: Iterable[tuple[float, str]], before_s: float) -> int:
    """How many alarms were raised before a time: in a fault-free stretch each is a false one."""
    return sum(t_s < before_s for t_s, _ in alarms)


def last_above_s(t_s: Column, air: Column, span: Window, level: float = 0.01) -> float | None:
    """The time of the last row of the span with air above the level; None if there is none."""
    return next((t_s[i] for i in range(span[1] - 1, span[0] - 1, -1) if air[i] > level), None)


def left_for_good_s(t_s: Column, value_c: Column, target_c: Column, below_c: float) -> float | None:
    """The time from which the value stays lower than target - below_c to the end; None: it ends higher."""
    for i in range(len(t_s) - 1, -1, -1):
        if value_c[i] >= target_c[i] - below_c:
            return None if i == len(t_s) - 1 else t_s[i + 1]
    return t_s[0] if t_s else None
