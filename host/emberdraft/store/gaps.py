"""Stretches without readings: named, never filled."""

from __future__ import annotations

import sqlite3
from typing import Any

from emberdraft.store.strip import GAP_S

_STEPS = """
SELECT * FROM (
  SELECT lag(at_s) OVER w AS start_s, at_s AS end_s, lag(boot) OVER w AS boot_before, boot,
         lag(seq) OVER w AS seq_before, seq
  FROM reading WHERE cooker = :cooker AND at_s >= :start_s AND at_s <= :end_s WINDOW w AS (ORDER BY at_s)
) WHERE end_s - start_s > :gap_s
"""
_LOST_BETWEEN = """
SELECT count(*) FROM lost
WHERE cooker = :cooker AND boot = :boot AND first_seq < :seq AND last_seq > :seq_before
"""


def gaps(db: sqlite3.Connection, span: dict[str, Any]) -> list[dict[str, Any]]:
    """Gaps between readings in `span` (cooker, start_s, end_s): start_s, end_s and why.

    `reboot`: the board started anew; `lost`: the board had to drop records and said so; `missing`: the records
    have not come, or the board was silent.
    """
    found = []
    cursor = db.execute(_STEPS, {**span, "gap_s": GAP_S})
    for start_s, end_s, boot_before, boot, seq_before, seq in cursor.fetchall():
        why = "missing"
        if boot != boot_before:
            why = "reboot"
        elif db.execute(
            _LOST_BETWEEN, {"cooker": span["cooker"], "boot": boot, "seq": seq, "seq_before": seq_before}
        ).fetchone()[0]:
            why = "lost"
        found.append({"start_s": start_s, "end_s": end_s, "why": why})
    return found
