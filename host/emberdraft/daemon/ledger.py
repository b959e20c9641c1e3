"""The table of present values beside the strip: one line each, with its rate and where it is heading."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon import by_hand
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.history import History
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.timeline import NO_SLOT, Forecasts, moment_words, slot_of
from emberdraft.daemon.wanted import target_of
from emberdraft.phases import held_in
from emberdraft.said import Difference, Temperature, Text, said

Row = dict[str, Any]
BAND_C = 3.0


def ledger_rows(
    row: Row, history: History, now_s: float, conductor: Conductor | None, forecasts: Forecasts, vents: dict[str, Row]
) -> list[Row]:
    """All lines; `vents` holds the last mark of each vent."""
    rate = history.rate_per_min("pit_c", now_s)
    lines = [_line("pit", "Pit", "pit", row["pit_c"], "c", _pit_heading(row, conductor), rate)]
    if row["stone_c"] is not None or (row.get("stone_fault") or "absent") != "absent":
        rate = history.rate_per_min("stone_c", now_s)
        lines.append(_line("stone", "Stone", "stone", row["stone_c"], "c", _stone_heading(conductor), rate))
    if conductor is not None:
        lines += _pieces(row, history, now_s, conductor, forecasts)
    if conductor is None or not conductor.run.by_hand:
        lines.append(_line("blower", "Blower", "blower", row["duty"], "share", "by the board"))
    if row["opening"] is not None:
        lines.append(_line("damper", "Damper", "damper", row["opening"], "share", "by the board"))
    for key, label in (("vent_top", "Top vent"), ("vent_bottom", "Bottom vent")):
        if key in vents:
            heading = f"by hand at {clock(vents[key]['at_s'])}"
            lines.append(_line(key, label, "vent", vents[key]["value"], "share", heading))
    return lines


def band_c(conductor: Conductor | None) -> float:
    """How far from what is wanted still counts as on it, degC: of a hand at the vents less is asked than of a board."""
    return by_hand.NEAR_C if conductor is not None and conductor.run.by_hand else BAND_C


def number_of(row: Row | None) -> Row:
    """The one number of the phase: the stone in climb and sear, else the pit."""
    if row is None:
        return {"label": "pit", "value_c": None, "wanted_c": None, "of": "pit"}
    of = "stone" if row["mode"] == "drive" else "pit"
    wanted_c = row["target_c"] if row["mode"] in ("hold", "drive") else None
    return {"label": of, "value_c": row[f"{of}_c"], "wanted_c": wanted_c, "of": of}


def _pieces(row: Row, history: History, now_s: float, conductor: Conductor, forecasts: Forecasts) -> list[Row]:
    lines = []
    for piece in conductor.plan.pieces:
        if piece.probe is None or piece.probe >= len(row["core_c"]):
            continue
        run = conductor.stage.piece(piece.letter)
        inside = run.state == "in"
        value = row["core_c"][piece.probe] if inside or run.state in ("resting", "searing") else None
        rate = history.rate_per_min("core_c", now_s, piece.probe) if inside else None
        heading = _piece_heading(run, piece, value, now_s, forecasts)
        label = piece.name[0].upper() + piece.name[1:]
        slot = slot_of(forecasts.get(piece.letter), now_s) if inside else NO_SLOT
        lines.append(_line(f"core{piece.probe + 1}", label, "piece", value, "c", heading, rate, piece.probe) | slot)
    return lines


def _piece_heading(run: Any, piece: Any, core_c: float | None, now_s: float, forecasts: Forecasts) -> Text:
    if run.state == "waiting":
        return "not on yet"
    if run.state == "in" and core_c is not None and core_c >= float(piece.pull_c):
        return said("past {pull}: pull it", pull=Temperature(float(piece.pull_c)))
    if run.state == "in":
        when = moment_words(forecasts.get(piece.letter), now_s)
        return said("{pull} {when}", pull=Temperature(float(piece.pull_c)), when=when)
    if run.state == "resting":
        return f"resting since {clock(run.pulled_s)}"
    return "on the stone" if run.state == "searing" else f"off at {clock(run.off_s)}" if run.off_s else "done"


def _pit_heading(row: Row, conductor: Conductor | None) -> Text:
    if conductor is not None and row["mode"] == "off" and held_in(conductor.phase) == "pit":
        wanted_c = by_hand.wanted_c(conductor.stage)
        return "" if wanted_c is None else _band(wanted_c, band_c(conductor))
    if row["mode"] == "hold" and row["target_c"] is not None:
        return _band(row["target_c"], band_c(conductor))
    if row["mode"] == "drive" and conductor is not None and conductor.plan.climb is not None:
        return said("limit {limit}", limit=Temperature(float(conductor.plan.climb.pit_limit_c)))
    return ""


def _band(middle_c: float, half_c: float) -> Text:
    return said("{middle} ± {half}", middle=Temperature(middle_c), half=Difference(half_c, 0, bare=True))


def _stone_heading(conductor: Conductor | None) -> Text:
    if conductor is None or conductor.plan.climb is None:
        return ""
    stone_c, phase = target_of(conductor.plan, conductor.run, "climb"), conductor.phase
    if stone_c is None or phase == "bank":
        return ""
    return said("{stone}" if held_in(phase) == "stone" else "{stone}, climb", stone=Temperature(stone_c))


def _line(
    key: str,
    label: str,
    kind: str,
    value: float | None,
    unit: str,
    heading: Text,
    per_min: float | None = None,
    stroke: int = 0,
) -> Row:
    return {
        "key": key,
        "label": label,
        "kind": kind,
        "value": value,
        "unit": unit,
        "per_min": None if per_min is None else round(per_min, 2),
        "heading": heading,
        **NO_SLOT,
        "stroke": stroke,
    }
