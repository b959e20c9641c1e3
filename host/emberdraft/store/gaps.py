"""Stretches without readings: named, never filled."""

from __future__ import annotations

import sqlite3
from typing import Any

from emberdraft.store.span import GAP_S, IN_SPAN, NO_END_S

_STEPS = f"""
SELECT * FROM (
  SELECT lag(at_s) OVER w AS start_s, at_s AS end_s, lag(boot) OVER w AS boot_before, boot,
         lag(seq) OVER w AS seq_before, seq
  FROM reading WHERE {IN_SPAN} WINDOW w AS (ORDER BY at_s)
) WHERE end_s - start_s > :gap_s
"""
_LOST_BETWEEN = """
SELECT count(*) FROM lost
WHERE cooker = :cooker AND boot = :boot AND first_seq < :seq AND last_seq > :seq_before
"""
_RAW_BETWEEN = """
SELECT count(*) FROM raw WHERE cooker = :cooker AND boot = :boot AND seq > :seq_before AND seq < :seq
"""

_ENDS = f"SELECT min(at_s), max(at_s) FROM reading WHERE {IN_SPAN}"


def gaps(db: sqlite3.Connection, span: dict[str, Any]) -> list[dict[str, Any]]:
    """Gaps in `span`: start_s, end_s and why.

    `reboot`: the board started anew; `lost`: the board had to drop records and said so; `unread`: they came and could
    not be read; `missing`: they have not come, or the board was silent.
    """
    steps = db.execute(_STEPS, {**span, "gap_s": GAP_S}).fetchall()
    inner = [
        {"start_s": start_s, "end_s": end_s, "why": _why(db, span["cooker"], *between)}
        for start_s, end_s, *between in steps
    ]
    first_s, last_s = db.execute(_ENDS, span).fetchone()
    if first_s is None:
        return []
    before = [{"start_s": span["start_s"], "end_s": first_s, "why": "missing"}]
    after = [{"start_s": last_s, "end_s": span["end_s"], "why": "missing"}]
    return [gap for gap in before + inner + after if GAP_S < gap["end_s"] - gap["start_s"] < NO_END_S / 2.0]


def _why(db: sqlite3.Connection, cooker: str, boot_before: str, boot: str, seq_before: int, seq: int) -> str:
    if boot != boot_before:
        return "reboot"
    place = {"cooker": cooker, "boot": boot, "seq": seq, "seq_before": seq_before}
    for why, sql in (("lost", _LOST_BETWEEN), ("unread", _RAW_BETWEEN)):
        if db.execute(sql, place).fetchone()[0]:
            return why
    return "missing"
