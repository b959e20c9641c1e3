"""What happened in a cook, as sentences in order of time: lids, marks, gains, alarms, disturbances."""

from __future__ import annotations

import datetime
from typing import Any

from emberdraft import mark_words
from emberdraft.quantities import say_duration
from emberdraft.said import Difference, Text, said

Row = dict[str, Any]

# What a lid does is told once, by the lift that was found and measured, not again by the marks.
_TOLD_BY_LIFTS = ("lid_open", "lid_shut")


def happened(figures: Row) -> list[Row]:
    """Each with at_s, kind (lid, mark, alarm, disturbance) and text."""
    marks = [mark for mark in figures["marks"] if mark["kind"] not in _TOLD_BY_LIFTS]
    found: list[tuple[float, str, Text]] = [
        *((lift["at_s"], "lid", said("Lid {what}", what=lift_words(lift))) for lift in figures["lid_lifts"]),
        *((mark["at_s"], "mark", mark_words.told(mark)) for mark in marks),
        *((alarm["at_s"], "alarm", alarm_words(alarm)) for alarm in figures["alarms"]),
        *(
            (row["at_s"], "disturbance", said("Pit {what}", what=disturbance_words(row)))
            for row in figures["disturbances"]
        ),
    ]
    rows = [{"at_s": at_s, "kind": kind, "text": text} for at_s, kind, text in found]
    return sorted(rows, key=lambda row: float(row["at_s"]))


def clock(at_s: float, form: str = "%H:%M") -> str:
    """A moment on the local clock."""
    return datetime.datetime.fromtimestamp(at_s).astimezone().strftime(form)


def lift_words(lift: Row) -> Text:
    """'open 80 s: pit fell 44 °C, back 9 min after it was shut, then 0.7 °C over'."""
    rebound_c = lift["rebound_c"] if lift["rebound_c"] is not None and lift["rebound_c"] >= 0.05 else None
    return said(
        "open {open}{fell}{back}{rebound}",
        open="since" if lift["open_s"] is None else say_duration(lift["open_s"]),
        fell="" if lift["drop_c"] is None else said(": pit fell {drop}", drop=Difference(lift["drop_c"], 0)),
        back="" if lift["recovery_s"] is None else f", back {say_duration(lift['recovery_s'])} after it was shut",
        rebound="" if rebound_c is None else said(", then {over} over", over=Difference(rebound_c)),
    )


def disturbance_words(row: Row) -> Text:
    """'6.2 °C under at worst, 4 min in slow'."""
    side = "over" if row["worst_c"] > 0.0 else "under"
    rest = f"{say_duration(row['duration_s'])} in {row['phase']}"
    return said("{far} {side} at worst, {rest}", far=Difference(abs(row["worst_c"])), side=side, rest=rest)


def alarm_words(alarm: Row) -> str:
    """'pause: pit probe open (cleared)'; 'pull (told by the board)'."""
    cause = alarm["cause"] or alarm["alert"].replace("_", " ")
    if alarm["kind"] is None:
        return f"{cause} ({alarm['state']})"
    return f"{alarm['kind']}: {cause} ({alarm['state']})"
