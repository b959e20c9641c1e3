"""The evening that is to come, as lines for the strip: pit, stone and the pieces that wait, each with its band.

A piece that is in, and a stone that is driven, have forecasts of their own on the strip; here is what comes after.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from emberdraft.daemon.evening_watch import Drawn
from emberdraft.evening.past import Band
from emberdraft.evening.wanted import Food

Row = dict[str, Any]


def ahead_rows(drawn: Drawn, probes: dict[str, int | None], stone_c: float | None) -> list[Row]:
    """Lines from one moment and temperature to the next; `from_c` None: from where the line is now."""
    steps, wanted, past = dict(drawn.outlook.steps), drawn.evening.wanted, drawn.evening.past
    rows = [*_pit(steps, drawn), *(row for food in wanted.foods for row in _piece(steps, food, probes, past.moments))]
    if wanted.sear is not None and "sear" not in past.moments and past.hot is None:
        rows.append(_line("stone", steps["climb"][1], stone_c, wanted.sear.stone_c, steps["sear"], "sear"))
    return rows


def _pit(steps: dict[str, Band], drawn: Drawn) -> Iterator[Row]:
    """Held until the climb, else until dinner."""
    if "climb" not in drawn.evening.past.moments:
        yield _line("pit", None, None, drawn.evening.wanted.pit_c, steps.get("climb", steps["ready"]), "")


def _piece(steps: dict[str, Band], food: Food, probes: dict[str, int | None], been: Any) -> Iterator[Row]:
    if f"{food.letter} on" in been:
        return
    probe = probes.get(food.letter)
    key = "" if probe is None else f"core{probe + 1}"
    on_s, out = steps[f"{food.letter} on"][1], steps[f"{food.letter} out"]
    yield _line(key, on_s, food.start_c, food.pull_c, out, f"{food.letter} out")


def _line(key: str, from_s: float | None, from_c: float | None, value_c: float, band: Band, text: str) -> Row:
    low, mid, high = band
    ends = {"at_s": mid, "low_s": low, "high_s": high, "value_c": value_c, "text": text}
    return {"key": key, "from_s": from_s, "from_c": from_c, **ends}
