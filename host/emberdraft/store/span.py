"""Which readings are a cook's: those of its cooker, in its time, of a boot that was heard on its time line."""

from __future__ import annotations

import sqlite3
from typing import Any

from emberdraft.errors import UserError

# Readings come each second; more than this between two of them is a gap.
GAP_S = 3.0
# The end of a cook that is still going on, and the last boot of a time line that is: all that comes belongs to it.
NO_END_S = 1e18
NO_LAST_BOOT = 2**62

# `every_boot` is 1 where a cooker's clock never went back, that is nearly always: then no boot is looked up.
OF_TIME_LINE = """(:every_boot OR boot IN (
  SELECT boot FROM boot WHERE cooker = :cooker AND id BETWEEN :first_boot AND :last_boot))"""
IN_SPAN = f"cooker = :cooker AND at_s >= :start_s AND at_s <= :end_s AND {OF_TIME_LINE}"


def span_of(db: sqlite3.Connection, cook_id: int, start_s: float | None, end_s: float | None) -> dict[str, Any]:
    """The values for IN_SPAN, of a whole cook or of a part of its time."""
    row = db.execute(
        "SELECT cooker, start_s, coalesce(end_s, ?), first_boot, last_boot FROM cook WHERE id = ?", (NO_END_S, cook_id)
    ).fetchone()
    if row is None:
        raise UserError(f"There is no cook {cook_id}; `emberdraft cooks` lists what there is.")
    cooker, cook_start_s, cook_end_s, first_boot, last_boot = row
    return {
        "cook_id": cook_id,
        "cooker": cooker,
        "start_s": cook_start_s if start_s is None else start_s,
        "end_s": cook_end_s if end_s is None else end_s,
        "every_boot": int(first_boot == 0 and last_boot is None),
        "first_boot": first_boot,
        "last_boot": NO_LAST_BOOT if last_boot is None else last_boot,
    }


def ended(db: sqlite3.Connection, span: dict[str, Any]) -> dict[str, Any]:
    """The span with an open end put at its last reading."""
    if span["end_s"] < NO_END_S:
        return span
    last = db.execute(f"SELECT at_s FROM reading WHERE {IN_SPAN} ORDER BY at_s DESC LIMIT 1", span).fetchone()
    return {**span, "end_s": last[0] if last else span["start_s"]}
