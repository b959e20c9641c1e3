"""What vent opening holds a temperature on a cooker: from the steady stretches of its newest cooks in the record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any, NamedTuple

from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.vent_words import widths_words
from emberdraft.quantities import say_number, say_opening
from emberdraft.ready.recorded import has_blower, recorded_trace, without_pulses
from emberdraft.ready.vents import NAMED_C, Steady, Vents, VentSaid, steady_stretches
from emberdraft.said import Temperature, Text, said

Row = dict[str, Any]
NEWEST = 8
IDLING = (0.2, 0.3, 0.4, 0.5, 0.7, 1.0)  # the least blower with which some opening holds it


class Learnt(NamedTuple):
    """Steady stretches, whether the board ever drove a blower, and where the bottom vent was last."""

    points: list[Steady]
    blower: bool
    bottom: float


NOTHING_KNOWN = Learnt([], False, 1.0)


def learnt(reader: Any, cooker: str) -> Learnt:
    """From the newest cooks of a cooker, one that is going on included."""
    points: list[Steady] = []
    blower, bottom = False, 1.0
    for cook in reversed(reader.cooks(cooker)[:NEWEST]):
        plan = reader.plan(cook["plan_id"]) if cook["plan_id"] is not None else None
        weather = parse_plan(plan["text"]) if plan is not None else None
        ambient_c, wind_mps = (float(weather.ambient_c), float(weather.wind_mps)) if weather else (20.0, 1.0)
        trace = recorded_trace(reader, cook["id"], ambient_c, wind_mps)
        if trace is None:
            continue
        blower = blower or has_blower(trace)
        points += steady_stretches(without_pulses(trace))
        moved = [mark["value"] for mark in reader.marks(cook["id"]) if mark["kind"] == "vent_bottom" and mark["value"]]
        bottom = float(moved[-1]) if moved else bottom
    return Learnt(points, blower, bottom)


def opening_of(known: Learnt, pit_c: float, bottom: float, ambient_c: float) -> Row:
    """All figures, units in the keys: without a blower, with it off, and with the least of it that holds."""
    vents = Vents(known.points, known.blower)
    said = {"blower_off" if known.blower else "no_blower": asdict(vents.opening_for(pit_c, bottom, ambient_c))}
    if known.blower:
        said["blower_on"] = _least_blower(vents, pit_c, bottom, ambient_c)
    return {
        "pit_c": pit_c,
        "ambient_c": ambient_c,
        "vent_bottom_share": bottom,
        "stretches": len(known.points),
        **said,
    }


def _least_blower(vents: Vents, pit_c: float, bottom: float, ambient_c: float) -> Row:
    """The opening with the least blower that holds it: there it has room both ways."""
    for speed in IDLING:
        said = vents.opening_for(pit_c, bottom, ambient_c, speed)
        if said.opening is not None:
            break
    return {"blower_share": speed, **asdict(said)}


def vent_lines(answer: Row) -> Iterator[Text]:
    """The same in sentences."""
    bottom = say_opening(answer["vent_bottom_share"])
    where = f"Bottom vent {bottom}" if bottom in ("open", "shut") else f"Bottom vent {bottom} open"
    yield said("To hold {pit}. {where}:", pit=Temperature(answer["pit_c"]), where=where)
    for name in ("no_blower", "blower_off", "blower_on"):
        if name in answer:
            found = dict(answer[name])
            share = found.pop("blower_share", 0.0)
            words = {"no_blower": "", "blower_off": "blower off: "}.get(name, f"blower at {_percent(share)}: ")
            yield words + _opening(VentSaid(**found))
    if answer["stretches"] == 0:
        yield "No steady stretch of this cooker is known: this is what ceramic cookers of 30 to 60 cm have in common."
    else:
        count = answer["stretches"]
        yield f"Learnt from {count} stretch{'es' if count > 1 else ''} of at least 20 min in which nothing was moved."
    yield "Mark each vent you move. Set it, look again in 20 min: ceramic answers slowly."


def _opening(said: VentSaid) -> str:
    if said.opening is None or said.low is None or said.high is None:
        if said.shut_is_too_hot > said.open_is_too_cold:
            return "even shut, the top vent lets too much through: shut the bottom vent further"
        return "even open, the top vent lets too little through: open the bottom vent, or give it air"
    band = f"probably {_percent(said.low)} to {_percent(said.high)}"
    size = f"{say_number(said.area_cm2 or 0.0, 1)}\u00a0cm2"
    first = "a first step: " if (said.off_c or 0.0) > NAMED_C else ""
    return f"{first}top vent {_percent(said.opening)} open ({size}, {widths_words(said.fingers or 0.0)} wide), {band}"


def _percent(share: float) -> str:
    return f"{say_number(100.0 * share)}\u00a0%"
