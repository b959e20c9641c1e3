"""The state as the page takes it: one JSON object, made from the parts of the service."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon import asked, by_hand, foretold, sentence
from emberdraft.daemon.air_change import SPAN_S
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.deeper import deeper
from emberdraft.daemon.evening_ahead import ahead_rows
from emberdraft.daemon.evening_watch import evening_row
from emberdraft.daemon.ledger import band_c, ledger_rows, number_of
from emberdraft.daemon.live import LiveView
from emberdraft.daemon.steps import STEPS
from emberdraft.daemon.timeline import MOST, phase_rows, slot_rows, upcoming_rows
from emberdraft.said import Text

Row = dict[str, Any]
CLIMB = "start_climb"
NO_COOK = ("No cook is running.", "Start one with a plan.")


def now_json(service: Any, now_s: float) -> Row:
    """See docs/reference/http.md for the keys."""
    live, conductor, row = service.live, service.cook.conductor, service.live.row
    link = live.link_row(now_s)
    first, detail = sentences(service, now_s, link)
    held = asked.stopped(service)
    rows = asked.asked_rows(service, now_s)
    return {
        "now_s": now_s,
        "speed": service.clock.speed,
        "cooker": service.cooker,
        "link": link,
        "cook": service.cook.cook,
        "phase": _phase(conductor),
        "phases": _phases(conductor, live, now_s, held),
        "mode": row["mode"] if row is not None else None,
        "why": row["why"] if row is not None else None,
        "lid_open": bool(row["lid_open"]) if row is not None else False,
        "sentence": first,
        "detail": detail,
        "number": _number(conductor, row, held),
        "band_c": band_c(conductor),
        "ledger": _ledger(service, now_s, held),
        "next": rows[0] if rows else None,
        "asked": rows,
        "stopped": held,
        "upcoming": [] if conductor is None or held else _upcoming(conductor, live, now_s),
        "forecasts": [] if conductor is None or held else _slots(conductor, live, now_s),
        "evening": None if conductor is None or held else _evening(conductor, live, now_s),
        "alarms": service.alarms.rows(now_s, live.reading(now_s)),
        "caution": list(STEPS[conductor.phase or "light"].cautions) if conductor is not None else [],
        "marks": service.cook.mark_rows() if conductor is not None else [],
        "deeper": deeper(service),
        "last": service.last,
    }


def sentences(service: Any, now_s: float, link: Row) -> tuple[Text, Text]:
    """The plain sentence and the one with figures; old numbers are never spoken of as the present."""
    live, conductor = service.live, service.cook.conductor
    if link["state"] != "online":
        return sentence.no_word(None if live.row is None else live.row["at_s"])
    if conductor is None and live.row["mode"] == "off":
        return NO_COOK
    climb = conductor.plan.climb if conductor is not None else None
    facts = sentence.Facts(
        live.row,
        pit_rate=live.history.rate_per_min("pit_c", now_s),
        stone_rate=live.history.rate_per_min("stone_c", now_s),
        before=live.history.row_before(now_s, SPAN_S),
        limit_c=None if climb is None else float(climb.pit_limit_c),
        alarm=_stopping(service, now_s),
        by_hand_c=by_hand.wanted_c(conductor.stage) if conductor is not None else None,
        lit=conductor is None or conductor.phase != "",
    )
    return sentence.say(facts)


def _stopping(service: Any, now_s: float) -> Row | None:
    alarm = service.alarms.stopping()
    return None if alarm is None else alarm.row(now_s, service.live.reading(now_s))


def _number(conductor: Conductor | None, row: Row | None, held: bool) -> Row:
    """The one number; while the blower is stopped it is on its way to nothing."""
    by_hand_number = None if conductor is None else by_hand.number(conductor.stage, row)
    number = by_hand_number or number_of(row)
    return number | {"wanted_c": None} if held else number


def _ledger(service: Any, now_s: float, held: bool) -> list[Row]:
    live, conductor = service.live, service.cook.conductor
    if live.row is None:
        return []
    forecasts = {} if held else live.forecasts
    rows = ledger_rows(live.row, live.history, now_s, conductor, forecasts, service.cook.vents())
    return [row | {"heading": ""} if held and row["kind"] in ("pit", "stone") else row for row in rows]


def _phases(conductor: Conductor | None, live: LiveView, now_s: float, held: bool) -> list[Row]:
    """All phases; while the blower is stopped nothing can be said of those to come."""
    rows = [] if conductor is None else phase_rows(conductor, now_s, live.forecasts)
    return [_till_now(row, now_s) for row in rows if row["state"] != "to_come"] if held else rows


def _till_now(row: Row, now_s: float) -> Row:
    return row | {"expect_s": now_s - row["start_s"]} if row["state"] == "now" else row


def _phase(conductor: Conductor | None) -> Row | None:
    if conductor is None or not conductor.run.phases:
        return None
    phase = conductor.run.phases[-1]
    return {"name": phase.name, "since_s": phase.start_s, "target_c": phase.target_c}


def _upcoming(conductor: Conductor, live: LiveView, now_s: float) -> list[Row]:
    told = foretold.stone_to_come(conductor, live, now_s)
    rows = upcoming_rows(conductor, now_s, live.forecasts)
    if any(row["kind"] == CLIMB for row in told):
        rows = [row for row in rows if row["kind"] != CLIMB]
    rows += told
    return sorted(rows, key=lambda row: float(row["at_s"]))[:MOST]


def _evening(conductor: Conductor, live: LiveView, now_s: float) -> Row | None:
    drawn = live.evenings.drawn(now_s)
    if drawn is None:
        return None
    probes = {letter: piece.probe for letter, piece in conductor.stage.plan_pieces.items()}
    return evening_row(drawn) | {"ahead": ahead_rows(drawn, probes, live.view.stone_c)}


def _slots(conductor: Conductor, live: LiveView, now_s: float) -> list[Row]:
    return slot_rows(conductor, now_s, live.forecasts) + foretold.stone_slots(live, now_s)
