"""All figures of a cook as one object, units in its keys: what `show --json` prints and the page shows."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any, Protocol

from emberdraft.errors import UserError
from emberdraft.review.columns import Columns, Row
from emberdraft.review.found import disturbances, lid_lifts
from emberdraft.review.phases import phase_figures
from emberdraft.review.pieces import piece_figures
from emberdraft.review.safety import kinds_of, piece_safety
from emberdraft.review.sear import sides

# The columns of a reading that figures are made of.
NEEDED = (
    *("at_s", "late", "pit_c", "stone_c", "core1_c", "core2_c", "core3_c", "core4_c"),
    *("target_c", "mode", "duty", "lid_open"),
)


class CookRecord(Protocol):
    """What a review needs of the store."""

    def cook(self, cook_id: int) -> Row | None: ...
    def phases(self, cook_id: int) -> list[Row]: ...
    def pieces(self, cook_id: int) -> list[Row]: ...
    def alarms(self, cook_id: int) -> list[Row]: ...
    def marks(self, cook_id: int) -> list[Row]: ...
    def events(self, cook_id: int) -> list[Row]: ...
    def tunings(self, cook_id: int) -> list[Row]: ...
    def gaps(self, cook_id: int) -> list[Row]: ...
    def plan(self, plan_id: int) -> Row | None: ...
    def readings(
        self, cook_id: int, start_s: float | None = None, end_s: float | None = None, names: Sequence[str] = ()
    ) -> Columns: ...


def figures_of(record: CookRecord, cook_id: int) -> dict[str, Any]:
    """Every figure of a cook; a figure the data do not allow is None."""
    cook = record.cook(cook_id)
    if cook is None:
        raise UserError(f"There is no cook {cook_id}; `emberdraft cooks` lists what there is.")
    columns, phases = record.readings(cook_id, names=NEEDED), record.phases(cook_id)
    lifts, marks = lid_lifts(columns, phases), record.marks(cook_id)
    return {
        "cook": _cook(cook, columns),
        "phases": [phase_figures(columns, phase) | {"lid_lifts": _lifts_in(phase, lifts)} for phase in phases],
        "pieces": _pieces(record, cook, columns, marks),
        "lid_lifts": lifts,
        "disturbances": disturbances(columns, phases, lifts),
        "marks": [_only(mark, "at_s", "kind", "value", "text", "author") for mark in marks],
        "alarms": _alarms(record, cook_id),
        "tunings": [_only(tuning, "at_s", "gains", "order_n") for tuning in record.tunings(cook_id)],
        "record": _record(columns, record.gaps(cook_id)),
    }


def _cook(cook: Row, columns: Columns) -> Row:
    end_s = cook["end_s"] if cook["end_s"] is not None else max(columns["at_s"], default=None)
    return {
        **_only(cook, "id", "name", "cooker", "start_s", "end_s", "how"),
        "start_utc": datetime.datetime.fromtimestamp(cook["start_s"], datetime.UTC).isoformat(timespec="seconds"),
        "duration_s": None if end_s is None else end_s - cook["start_s"],
        "invented": bool(cook["invented"]),
    }


def _pieces(record: CookRecord, cook: Row, columns: Columns, marks: list[Row]) -> list[Row]:
    kinds = kinds_of(record.plan(cook["plan_id"]) if cook["plan_id"] is not None else None)
    rows = []
    for piece in record.pieces(cook["id"]):
        figures = piece_figures(columns, piece) | {"sides": sides(columns, marks, piece["letter"])}
        rows.append(figures | {"safety": piece_safety(columns, figures, kinds)})
    return rows


def _alarms(record: CookRecord, cook_id: int) -> list[Row]:
    """As the host kept them; a rehearsal has no host, and then the board's own word of them counts."""
    kept = [_only(a, "at_s", "alert", "kind", "state", "cause", "cleared_s") for a in record.alarms(cook_id)]
    if kept:
        return kept
    told = [event for event in record.events(cook_id) if event["kind"] == "alert"]
    unknown = {"kind": None, "state": "told by the board", "cause": "", "cleared_s": None}
    return [{"at_s": event["at_s"], "alert": event["text"], **unknown} for event in told]


def _record(columns: Columns, gaps: list[Row]) -> Row:
    return {
        "reading_count": len(columns["at_s"]),
        "late_count": sum(columns["late"]),
        "gaps": gaps,
        "missing_s": sum(gap["end_s"] - gap["start_s"] for gap in gaps),
    }


def _lifts_in(phase: Row, lifts: list[Row]) -> int:
    end_s = float("inf") if phase["end_s"] is None else phase["end_s"]
    return sum(phase["at_s"] <= lift["at_s"] < end_s for lift in lifts)


def _only(row: Row, *names: str) -> Row:
    return {name: row[name] for name in names}
