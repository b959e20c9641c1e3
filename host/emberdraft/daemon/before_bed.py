"""Before bed: what may wake a person tonight, whether a phone is reached, and how long the charcoal lasts."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.asked import stopped
from emberdraft.daemon.at_end import open_ended
from emberdraft.daemon.calls_table import ASLEEP, MINUTE_S, ROWS, Call
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.fuel_watch import had_kg
from emberdraft.daemon.prompts import names
from emberdraft.daemon.timeline import phase_rows
from emberdraft.quantities import say_number

Row = dict[str, Any]
HOUR_S = 3600.0


def before_bed(service: Any, now_s: float) -> Row:
    """`tonight`: what the plan will call for, with the moment where one can be said; `whenever`: what may go wrong."""
    conductor = service.cook.conductor
    return {
        "now_s": now_s,
        "cook": service.cook.cook,
        "tonight": [] if conductor is None else _tonight(service, conductor, now_s),
        "whenever": [_whenever(row) for row in ROWS if row.of == "alarm" and row.asleep_after_s is not None],
        "notices": service.notices.state(),
        "charcoal": _charcoal(service, conductor),
    }


def _tonight(service: Any, conductor: Conductor, now_s: float) -> list[Row]:
    """Each food that is still to be pulled, and the end of the plan; under a pause or a trip no moment is said."""
    sure = not stopped(service)
    forecasts = service.live.forecasts if sure else {}
    rows = [
        _pull(conductor, letter, forecasts.get(letter), now_s) for letter in conductor.stage.letters("waiting", "in")
    ]
    ends = [
        row for row in phase_rows(conductor, now_s, forecasts) if row["name"] == "bank" and row["state"] == "to_come"
    ]
    sure = sure and not open_ended(conductor.stage)
    rows += [{"at_s": row["start_s"] if sure else None, "text": "The end of the plan: shut both vents"} for row in ends]
    return sorted(rows, key=lambda row: (row["at_s"] is None, row["at_s"] or 0.0))


def _pull(conductor: Conductor, letter: str, forecast: Any, now_s: float) -> Row:
    eta_s = None if forecast is None else forecast["eta_s"]
    piece = conductor.stage.plan_pieces[letter]
    verb = "Pull" if piece.probe is not None else "Check"
    return {"at_s": None if eta_s is None else now_s + eta_s, "text": f"{verb} {names([piece])}"}


def _whenever(row: Call) -> str:
    """'The board is silent, when it lasts 10 min'."""
    minutes = say_number((row.asleep_after_s or 0.0) / MINUTE_S)
    return row.what if row.whom == ASLEEP else f"{row.what}, when it lasts {minutes}\u00a0min"


def _charcoal(service: Any, conductor: Conductor | None) -> Row:
    """Hours that the charcoal lasts and the plan still has, with the sentence; None where it cannot be said."""
    if conductor is None:
        return {"lasts_h": None, "needs_h": None, "text": "No cook is running."}
    fuel, have_kg = service.live.fuel, had_kg(conductor.plan, service.cook.marks)
    lasts_s = fuel.lasts_s(have_kg)
    if lasts_s is None:
        why = "the plan does not say how much charcoal was put in" if have_kg is None else "it is being worked out"
        return {"lasts_h": None, "needs_h": None, "text": f"How long the charcoal lasts cannot be said: {why}."}
    lasts_h, needs_h = lasts_s / HOUR_S, fuel.left_s / HOUR_S
    word = "that is enough" if lasts_h >= needs_h else "that is not enough: add charcoal before you go to bed"
    text = f"The charcoal lasts about {lasts_h:.1f} h, the plan has about {needs_h:.1f} h to go: {word}."
    return {"lasts_h": round(lasts_h, 1), "needs_h": round(needs_h, 1), "text": text}
