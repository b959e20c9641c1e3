"""Why was the stone not hotter? Of a climb that never came to its target, or later than the plan reckoned."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from emberdraft import quantities
from emberdraft.errors import UserError
from emberdraft.quantities import say_duration
from emberdraft.ready.climb import DOOR_AS_DAMPER, DRAFT_ALONE, FULL_AIR
from emberdraft.ready.recorded import has_blower, recorded_trace
from emberdraft.ready.trace import Trace
from emberdraft.ready.why import why_not_hotter
from emberdraft.review.columns import Row
from emberdraft.review.phases import phase_figures
from emberdraft.said import Temperature, Text, said

EXPECT_S = 1500.0  # a plan's default
LEAST_S = 300.0  # a climb shorter than this was broken off
COLD_C = 60.0
NEAR_C = 5.0


def why_of(record: Any, cook_id: int) -> Row | None:
    """What bound and what would have helped; None where the climb was well, there was none, or it cannot be said."""
    climb = next((row for row in reversed(record.phases(cook_id)) if row["phase"] == "climb"), None)
    if climb is None or climb["target_c"] is None or climb["end_s"] is None:
        return None
    plan = _plan(record, cook_id)
    expect_s = _of(plan.get("climb", {}).get("expect"), quantities.duration_s, EXPECT_S)
    fell = _fell_behind(record, cook_id, climb, expect_s)
    if fell is None:
        return None
    ambient_c = _of(plan.get("ambient"), quantities.temperature_c, 20.0)
    trace = recorded_trace(record, cook_id, ambient_c, _of(plan.get("wind"), quantities.speed_mps, 1.0))
    first_s = record.readings(cook_id, names=("at_s",))["at_s"][0]
    if trace is None or not trace.pit_c[0] < COLD_C or climb["at_s"] - first_s < LEAST_S:
        return None
    try:
        return fell | _judged(trace, climb, first_s)
    except ValueError:  # a record with a gap where the climb was
        return None


def _judged(trace: Trace, climb: Row, first_s: float) -> Row:
    blower = has_blower(trace)
    trace = trace if blower else replace(trace, opening=trace.opening * DOOR_AS_DAMPER)
    air = FULL_AIR if blower else DRAFT_ALONE
    why = why_not_hotter(trace.until(climb["end_s"] - first_s), climb["at_s"] - first_s, climb["target_c"], air=air)
    return {
        "limit": why.limit,
        "sure_share": round(why.sure, 2),
        "as_it_was_c": round(why.as_it_is_c, 1),
        "with_advice_c": round(why.with_advice_c, 1),
        "advice": why.advice,
        "air_gps": round(why.air_gps, 2),
        "oxygen_used_share": round(why.oxygen_used, 2),
    }


def _fell_behind(record: Any, cook_id: int, climb: Row, expect_s: float) -> Row | None:
    names = ("at_s", "pit_c", "stone_c", "duty", "target_c")
    columns = record.readings(cook_id, climb["at_s"], climb["end_s"], names=names)
    stone = [c for c in columns["stone_c"] if c is not None]
    took_s = phase_figures(columns, climb)["time_to_target_s"]
    lasted_s = climb["end_s"] - climb["at_s"]
    if not stone or lasted_s < LEAST_S or (took_s is not None and took_s <= expect_s):
        return None
    if took_s is None and max(stone) >= climb["target_c"] - NEAR_C and lasted_s <= expect_s:
        return None
    times = {"took_s": took_s, "lasted_s": lasted_s, "expect_s": expect_s}
    return {"target_c": climb["target_c"], "highest_c": max(stone), **times}


def why_words(row: Row) -> Iterator[Text]:
    """The same in sentences."""
    target = Temperature(row["target_c"])
    if row["took_s"] is None:
        lasted, highest = say_duration(row["lasted_s"]), Temperature(row["highest_c"])
        yield said(
            "The stone came to {highest} of {target} in {lasted}.", highest=highest, target=target, lasted=lasted
        )
    else:
        took, expected = say_duration(row["took_s"]), say_duration(row["expect_s"])
        yield said(f"The stone was at {{target}} after {took}; reckoned were {expected}.", target=target)
    yield "Was the top vent fully open, and the lid shut?"
    names = {"air": "too little air went through", "fuel": "too little burned", "loss": "too much heat was lost",
             "time": "it had only too little time"}  # fmt: skip
    yield f"If so: it seems that {names[row['limit']]}. Next time: {row['advice'][0].lower()}{row['advice'][1:]}."
    better, was = Temperature(row["with_advice_c"]), Temperature(row["as_it_was_c"])
    template = "15 min later that would have been {better} instead of {was}, by a model of this cooker."
    yield said(template, better=better, was=was)


def _plan(record: Any, cook_id: int) -> dict[str, Any]:
    cook = record.cook(cook_id)
    kept = record.plan(cook["plan_id"]) if cook and cook["plan_id"] is not None else None
    try:
        return tomllib.loads(kept["text"]) if kept else {}
    except ValueError:
        return {}


def _of(text: Any, read: Any, usual: float) -> float:
    try:
        return usual if text is None else float(read(text))
    except UserError:
        return usual
