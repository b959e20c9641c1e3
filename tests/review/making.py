"""A small invented cook in columns, from straight lines, so that every figure can be worked out by hand."""

from __future__ import annotations

from typing import Any

from emberdraft.review.columns import Columns

START_S = 1_780_000_000.0
TARGET_C = 120.0


def columns(pit_c: list[float | None], **more: list[Any]) -> Columns:
    """One reading a second from START_S."""
    count = len(pit_c)
    made: Columns = {
        "at_s": [START_S + k for k in range(count)],
        "pit_c": list(pit_c),
        "stone_c": [None] * count,
        "core1_c": [None] * count,
        "core2_c": [None] * count,
        "target_c": [TARGET_C] * count,
        "mode": ["hold"] * count,
        "duty": [0.25] * count,
        "lid_open": [0] * count,
        "late": [0] * count,
    }
    return made | more


def phase(name: str, start: float, end: float | None, target_c: float | None = TARGET_C) -> dict[str, Any]:
    """A phase, in seconds from START_S."""
    return {
        "phase": name,
        "at_s": START_S + start,
        "end_s": None if end is None else START_S + end,
        "target_c": target_c,
    }


def line(first: float, last: float, seconds: int) -> list[float]:
    """`seconds` values from `first` towards `last`, which would be the next one."""
    return [first + (last - first) * k / seconds for k in range(seconds)]
