"""Why was the stone not hotter? Asked of a climb that never came to its target, came late, or was waited out.

Four causes stand in the record and need no model: the stone was hot and nobody came, less was asked of it than planned,
a trip or a pause took the air, the top vent was not open. Only what is left is judged on the twin.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from emberdraft import quantities
from emberdraft.quantities import say_duration, say_opening
from emberdraft.ready.climb import DOOR_AS_DAMPER, DRAFT_ALONE, FULL_AIR
from emberdraft.ready.recorded import has_blower, recorded_trace
from emberdraft.ready.trace import Trace
from emberdraft.ready.why import OPEN, why_not_hotter
from emberdraft.review.columns import Row
from emberdraft.review.figures import figures_of
from emberdraft.review.happened import clock
from emberdraft.review.late import late_of
from emberdraft.review.phases import phase_figures
from emberdraft.review.planned import Tables, plan_or_nothing, told
from emberdraft.said import Temperature, Text, first_lower, said

EXPECT_S = 1500.0  # a plan's default
LEAST_S = 300.0  # a climb shorter than this was broken off
COLD_C = 60.0
NEAR_C = 5.0
STOPS = ("trip", "pause")


def why_of(record: Any, cook_id: int) -> Row | None:
    """What bound and what would have helped; None where the climb was well, there was none, or it cannot be said."""
    climb = next((row for row in reversed(record.phases(cook_id)) if row["phase"] == "climb"), None)
    if climb is None or climb["target_c"] is None or climb["end_s"] is None:
        return None
    plan = plan_or_nothing(record, cook_id)
    expect_s = told(plan.get("climb", {}), "expect", quantities.duration_s, EXPECT_S)
    late = _waited_out(record, cook_id, plan)
    fell = _fell_behind(record, cook_id, climb, expect_s)
    if late is not None and (fell is None or fell["took_s"] is not None):
        return late | {"took_s": late["due_s"] - climb["at_s"]}
    if fell is None:
        return None
    found = _in_the_record(record, cook_id, climb, plan, fell) or _judged(record, cook_id, climb, fell, plan)
    return None if found is None else fell | found


# ---- what the record shows


def _waited_out(record: Any, cook_id: int, plan: Tables) -> Row | None:
    """A stone that was hot, and was not when somebody came."""
    late = [row for row in late_of(figures_of(record, cook_id), plan) if row["what"] == "sear"]
    if not late or late[0]["to_c"] is None or late[0]["to_c"] >= late[0]["from_c"] - NEAR_C:
        return None
    names = ("due_s", "done_s", "late_s", "from_c", "to_c")
    return {"limit": "late", "target_c": late[0]["from_c"], **{name: late[0][name] for name in names}}


def _in_the_record(record: Any, cook_id: int, climb: Row, plan: Tables, fell: Row) -> Row | None:
    planned_c = told(plan.get("climb", {}), "stone", quantities.temperature_c, climb["target_c"])
    until_s = climb["at_s"] + (fell["took_s"] or fell["lasted_s"])
    if fell["took_s"] is None and climb["target_c"] < planned_c - NEAR_C and fell["highest_c"] >= climb["target_c"]:
        return {"limit": "target", "planned_c": planned_c}
    stops = [row for row in record.alarms(cook_id) if row["kind"] in STOPS and _within(row, climb["at_s"], until_s)]
    if stops:
        return {"limit": "stopped", "cause": stops[0]["cause"], "stopped_s": stops[0]["at_s"]}
    vents = [mark for mark in record.marks(cook_id) if mark["kind"] == "vent_top" and mark["at_s"] < until_s]
    if vents and vents[-1]["value"] is not None and vents[-1]["value"] < OPEN:
        return {"limit": "vent", "vent_top": vents[-1]["value"]}
    return None


def _within(alarm: Row, start_s: float, end_s: float) -> bool:
    over_s = alarm["cleared_s"] if alarm["cleared_s"] is not None else float("inf")
    return bool(alarm["at_s"] < end_s and over_s > start_s)


# ---- what the twin judges


def _judged(record: Any, cook_id: int, climb: Row, fell: Row, plan: Tables) -> Row | None:
    ambient_c = told(plan, "ambient", quantities.temperature_c, 20.0)
    trace = recorded_trace(record, cook_id, ambient_c, told(plan, "wind", quantities.speed_mps, 1.0))
    first_s = record.readings(cook_id, names=("at_s",))["at_s"][0]
    if trace is None or not trace.pit_c[0] < COLD_C or climb["at_s"] - first_s < LEAST_S:
        return None
    try:
        # Only until the stone was hot: what came after is another question.
        return _on_the_twin(trace.until(climb["at_s"] + (fell["took_s"] or fell["lasted_s"]) - first_s), climb, first_s)
    except ValueError:  # a record with a gap where the climb was
        return None


def _on_the_twin(trace: Trace, climb: Row, first_s: float) -> Row:
    blower = has_blower(trace)
    trace = trace if blower else replace(trace, opening=trace.opening * DOOR_AS_DAMPER)
    air = FULL_AIR if blower else DRAFT_ALONE
    why = why_not_hotter(trace, climb["at_s"] - first_s, climb["target_c"], air=air)
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
    if row["limit"] == "late":
        yield from _late_words(row)
        return
    target = Temperature(row["target_c"])
    if row["took_s"] is None:
        lasted, highest = say_duration(row["lasted_s"]), Temperature(row["highest_c"])
        yield said(
            "The stone came to {highest} of {target} in {lasted}.", highest=highest, target=target, lasted=lasted
        )
    else:
        took, expected = say_duration(row["took_s"]), say_duration(row["expect_s"])
        yield said(f"The stone was near {{target}} after {took}; reckoned were {expected}.", target=target)
    yield from _IN_THE_RECORD.get(row["limit"], _of_the_twin)(row)


def _late_words(row: Row) -> Iterator[Text]:
    took, due, late = say_duration(row["took_s"]), clock(row["due_s"]), say_duration(row["late_s"])
    yield said(f"It was hot after {took}, at {due}, as {{hot}} was wanted.", hot=Temperature(row["from_c"]))
    first = f"The first piece lay on it {late} later; by then it was at {{cold}}."
    yield said(first, cold=Temperature(row["to_c"]))
    yield "Next time: agree to the climb only if you can be there when it ends, or renew it before the food goes on."


def _target_words(row: Row) -> Iterator[Text]:
    yield said("No more was asked of it: the plan had {planned}.", planned=Temperature(row["planned_c"]))


def _stopped_words(row: Row) -> Iterator[Text]:
    cause = first_lower(row["cause"] or "the board gave no cause")
    yield said("The blower was stopped in the climb, at {at}: {cause}.", at=clock(row["stopped_s"]), cause=cause)


def _vent_words(row: Row) -> Iterator[Text]:
    stood = "shut" if row["vent_top"] <= 0.0 else f"{say_opening(row['vent_top'])} open"
    yield f"The top vent stood {stood}, as it was noted last. Next time: open it fully."


_IN_THE_RECORD = {"target": _target_words, "stopped": _stopped_words, "vent": _vent_words}


def _of_the_twin(row: Row) -> Iterator[Text]:
    yield "Was the top vent fully open, and the lid shut?"
    names = {"air": "too little air went through", "fuel": "too little burned", "loss": "too much heat was lost",
             "time": "it had only too little time"}  # fmt: skip
    advice = "give the climb longer" if row["limit"] == "time" else f"{row['advice'][0].lower()}{row['advice'][1:]}"
    yield f"If so: it seems that {names[row['limit']]}. Next time: {advice}."
    better, was = Temperature(row["with_advice_c"]), Temperature(row["as_it_was_c"])
    template = "15 min later that would have been {better} instead of {was}, by a model of this cooker."
    yield said(template, better=better, was=was)
