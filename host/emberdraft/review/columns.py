"""Cutting a stretch of time out of a cook's columns."""

from __future__ import annotations

from bisect import bisect_left
from typing import Any

Columns = dict[str, list[Any]]
Row = dict[str, Any]


def between(columns: Columns, start_s: float, end_s: float | None) -> Columns:
    """The readings from `start_s` (included) to `end_s` (not included; None: to the last)."""
    at_s = columns["at_s"]
    first = bisect_left(at_s, start_s)
    last = len(at_s) if end_s is None else bisect_left(at_s, end_s)
    return {name: column[first:last] for name, column in columns.items()}


def last_before(columns: Columns, name: str, at_s: float, within_s: float) -> Any:
    """The newest value of a column in the `within_s` seconds up to `at_s`, or None."""
    times = columns["at_s"]
    k = bisect_left(times, at_s + 1e-6) - 1
    while k >= 0 and times[k] >= at_s - within_s:
        if columns[name][k] is not None:
            return columns[name][k]
        k -= 1
    return None
