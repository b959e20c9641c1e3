"""What happened in a cook, as sentences in order of time: lids, marks, gains, alarms, disturbances."""

from __future__ import annotations

import datetime
from typing import Any

from emberdraft.quantities import say_difference, say_duration, say_number, say_temperature

Row = dict[str, Any]

# What a lid does is told once, by the lift that was found and measured, not again by the marks.
_TOLD_BY_LIFTS = ("lid_open", "lid_shut")
# Said of a piece: its letter comes first.
_OF_PIECES = ("piece_on", "pulled", "on_stone", "flipped", "off_stone")
_WORDS = {
    "lit": "Lit",
    "vent_top": "Top vent",
    "vent_bottom": "Bottom vent",
    "set_up": "Set up",
    "piece_on": "Put on",
    "pulled": "Pulled",
    "on_stone": "On the stone",
    "flipped": "Flipped",
    "off_stone": "Off the stone",
    "fuel": "Fuel added",
    "stone_face": "Stone face",
    "gains": "Gains changed",
    "note": "",
}


def happened(figures: Row, unit: str) -> list[Row]:
    """Each with at_s, kind (lid, mark, alarm, disturbance) and text."""
    marks = [mark for mark in figures["marks"] if mark["kind"] not in _TOLD_BY_LIFTS]
    told = [
        *((lift["at_s"], "lid", "Lid " + lift_words(lift, unit)) for lift in figures["lid_lifts"]),
        *((mark["at_s"], "mark", mark_words(mark, unit)) for mark in marks),
        *((alarm["at_s"], "alarm", alarm_words(alarm)) for alarm in figures["alarms"]),
        *((row["at_s"], "disturbance", "Pit " + disturbance_words(row, unit)) for row in figures["disturbances"]),
    ]
    return [{"at_s": at_s, "kind": kind, "text": text} for at_s, kind, text in sorted(told)]


def clock(at_s: float, form: str = "%H:%M") -> str:
    """A moment on the local clock."""
    return datetime.datetime.fromtimestamp(at_s).astimezone().strftime(form)


def lift_words(lift: Row, unit: str) -> str:
    """'open 80 s: pit fell 44 °C, back 9 min after it was shut, then 0.7 °C over'."""
    said = "open " + ("since" if lift["open_s"] is None else say_duration(lift["open_s"]))
    if lift["drop_c"] is not None:
        said += f": pit fell {say_difference(lift['drop_c'], unit, 0)}"
    if lift["recovery_s"] is not None:
        said += f", back {say_duration(lift['recovery_s'])} after it was shut"
    if lift["rebound_c"] is not None and lift["rebound_c"] >= 0.05:
        said += f", then {say_difference(lift['rebound_c'], unit)} over"
    return said


def disturbance_words(row: Row, unit: str) -> str:
    """'6.2 °C under at worst, 4 min in slow'."""
    side = "over" if row["worst_c"] > 0.0 else "under"
    far = say_difference(abs(row["worst_c"]), unit)
    return f"{far} {side} at worst, {say_duration(row['duration_s'])} in {row['phase']}"


def alarm_words(alarm: Row) -> str:
    """'pause: pit probe open (cleared)'; 'pull (told by the board)'."""
    cause = alarm["cause"] or alarm["alert"].replace("_", " ")
    if alarm["kind"] is None:
        return f"{cause} ({alarm['state']})"
    return f"{alarm['kind']}: {cause} ({alarm['state']})"


def mark_words(mark: Row, unit: str) -> str:
    """'Top vent 25 %, by hand', 'A pulled at 57.7 °C'."""
    word = _WORDS.get(mark["kind"], mark["kind"].replace("_", " ").capitalize())
    order = (mark["text"], word.lower()) if mark["kind"] in _OF_PIECES and mark["text"] else (word, mark["text"])
    said = " ".join(part for part in order if part)
    if mark["value"] is None:
        return said
    if mark["kind"] in ("vent_top", "vent_bottom"):
        return f"{said} {percent(mark['value'])}, by hand"
    return f"{said} at {say_temperature(mark['value'], unit, 1)}"


def percent(share: float) -> str:
    """'25 %'."""
    return f"{say_number(100.0 * share)}\u00a0%"
