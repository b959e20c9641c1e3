"""`emberdraft vents COOKER --pit 121C`: how far to open the top vent, from that cooker's own cooks."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import Any

from emberdraft import quantities
from emberdraft.commands.common import add_db, add_json, add_units, db_path, print_json, unit
from emberdraft.commands.record import open_record
from emberdraft.daemon.plan import parse_plan
from emberdraft.errors import UserError
from emberdraft.quantities import say_temperature
from emberdraft.ready.recorded import has_blower, recorded_trace, without_pulses
from emberdraft.ready.vents import Steady, Vents, VentSaid, steady_stretches
from emberdraft.store.read import Reader

NEWEST = 8
IDLING = (0.2, 0.3, 0.4, 0.5, 0.7, 1.0)  # the least blower with which some opening holds it


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Arguments of the verb."""
    parser.add_argument("cooker", metavar="COOKER", help="its name in the record")
    parser.add_argument("--pit", required=True, help="what it should hold, with its unit: 121C, 250F")
    parser.add_argument("--bottom", default=None, help="the bottom vent: 1/4, open (default: as last marked)")
    parser.add_argument("--ambient", default="20C", help="the air outside, with its unit (default 20C)")
    add_db(parser)
    add_units(parser)
    add_json(parser)


def main(args: argparse.Namespace) -> int:
    """Print the opening with its band."""
    answer = answer_of(args)
    if args.json:
        print_json(answer)
    else:
        print("\n".join(_lines(answer, unit(args))))
    return 0


def answer_of(args: argparse.Namespace) -> dict[str, Any]:
    """All figures, units in the keys."""
    pit_c, ambient_c = quantities.temperature_c(args.pit), quantities.temperature_c(args.ambient)
    if not ambient_c + 30.0 <= pit_c <= 400.0:
        raise UserError(f"--pit {args.pit}: at least 30 degC over the air outside and at most 400 degC would be right")
    with open_record(db_path(args)) as reader:
        points, blower, bottom = _learnt(reader, args.cooker)
    if args.bottom is not None:
        bottom = quantities.share(args.bottom)
    vents = Vents(points, blower)
    said = {"blower_off" if blower else "no_blower": vars(vents.opening_for(pit_c, bottom, ambient_c))}
    if blower:
        said["blower_on"] = _least_blower(vents, pit_c, bottom, ambient_c)
    return {
        "cooker": args.cooker,
        "pit_c": pit_c,
        "ambient_c": ambient_c,
        "vent_bottom_share": bottom,
        "stretches": len(points),
        **said,
    }


def _least_blower(vents: Vents, pit_c: float, bottom: float, ambient_c: float) -> dict[str, Any]:
    """The opening with the least blower that holds it: there it has room both ways."""
    for speed in IDLING:
        said = vents.opening_for(pit_c, bottom, ambient_c, speed)
        if said.opening is not None:
            break
    return {"blower_share": speed, **vars(said)}


def _learnt(reader: Reader, cooker: str) -> tuple[list[Steady], bool, float]:
    """Steady stretches of the newest cooks, whether a blower is fitted, and where the bottom vent was last."""
    cooks = reader.cooks(cooker)[:NEWEST]
    if not cooks:
        known = ", ".join(reader.cookers()) or "none yet"
        raise UserError(f"cooker {cooker!r}: no cook of it is recorded; known: {known}")
    points: list[Steady] = []
    blower, bottom = False, 1.0
    for cook in reversed(cooks):
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
    return points, blower, bottom


def _lines(answer: dict[str, Any], units: str) -> Iterator[str]:
    at = say_temperature(answer["pit_c"], units)
    yield f"{answer['cooker']} at {at}, bottom vent {answer['vent_bottom_share']:.0%} open:"
    for name in ("no_blower", "blower_off", "blower_on"):
        if name in answer:
            said = dict(answer[name])
            share = said.pop("blower_share", 0.0)
            words = {"no_blower": "", "blower_off": "blower off: "}.get(name, f"blower at {share:.0%}: ")
            yield "  " + words + _opening(said)
    count = answer["stretches"]
    if count == 0:
        yield "No steady stretch of this cooker is known: this is what ceramic cookers of 30 to 60 cm have in common."
    else:
        yield f"Learnt from {count} stretches of at least 20 min in which nothing was moved. Mark each vent you move."
    yield "Set it, look again in 20 minutes: ceramic answers slowly."


def _opening(said: dict[str, Any]) -> str:
    said_row = VentSaid(**said)
    if said_row.opening is None or said_row.low is None or said_row.high is None:
        if said_row.shut_is_too_hot > said_row.open_is_too_cold:
            return "even shut, the top vent lets too much through: shut the bottom vent further"
        return "even open, the top vent lets too little through: open the bottom vent, or give it air"
    band = f"8 times in 10 between {said_row.low:.0%} and {said_row.high:.0%}"
    return f"top vent {said_row.opening:.0%} open ({said_row.area_cm2:.1f} cm2, {_fingers(said_row.fingers)}); {band}"


def _fingers(fingers: float | None) -> str:
    widths = 0.0 if fingers is None else fingers
    return "less than a quarter of a finger" if widths < 0.25 else f"about {round(4 * widths) / 4:g} finger widths"
