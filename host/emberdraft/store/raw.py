"""Rows that this release cannot read: kept as they came, byte for byte, until one comes that can.

A row here counts as stored: the board may forget it. At most `MOST_BYTES` of one cooker; what comes after is recorded
as lost, in the same transaction, so that a board with other firmware can neither fill the disk nor be told a lie.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from typing import Any

from emberdraft.store import lost, records

MOST_BYTES = 50_000_000
COLUMNS = ("cooker", "boot", "seq", "what", "arrived_s", "reason", "payload")
PAGE = 500  # rows read at once

_KEEP = f"INSERT INTO raw ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))}) ON CONFLICT DO NOTHING"
_KEPT = """
SELECT count(*) AS rows, coalesce(sum(length(payload)), 0) AS bytes,
       (SELECT reason FROM raw WHERE cooker = :cooker ORDER BY id DESC LIMIT 1) AS reason
FROM raw WHERE cooker = :cooker
"""


def add(db: sqlite3.Connection, cooker: str, boot: str, rows: Iterable[Mapping[str, Any]]) -> int:
    """Keep rows of one boot (`seq`, `what`, `arrived_s`, `reason`, `payload`); how many found no room and are lost."""
    free = MOST_BYTES - kept(db, cooker)["bytes"]
    no_room = 0
    for row in rows:
        if len(row["payload"]) > free:
            records.settle_lost(db, cooker, boot, row["seq"], row["seq"])
            no_room += 1
            continue
        values = {"cooker": cooker, "boot": boot, **row}
        if db.execute(_KEEP, [values[name] for name in COLUMNS]).rowcount:
            free -= len(row["payload"])
        lost.uncover(db, cooker, boot, [row["seq"]])
    records.advance(db, cooker, boot)
    return no_room


def kept(db: sqlite3.Connection, cooker: str) -> dict[str, Any]:
    """How much of a cooker is here: `rows`, `bytes`, and `reason`, why the last one could not be read."""
    names = ("rows", "bytes", "reason")
    return dict(zip(names, db.execute(_KEPT, {"cooker": cooker}).fetchone(), strict=True))


def page(db: sqlite3.Connection, after_id: int) -> list[dict[str, Any]]:
    """The next rows above an id, of every cooker."""
    sql = f"SELECT id, {', '.join(COLUMNS)} FROM raw WHERE id > ? ORDER BY id LIMIT {PAGE}"
    return [dict(zip(("id", *COLUMNS), row, strict=True)) for row in db.execute(sql, (after_id,))]


def take_over(db: sqlite3.Connection, row: Mapping[str, Any], record: Mapping[str, Any]) -> None:
    """A raw row that reads now: into its table, and away from here. ValueError when it can still not be stored."""
    records.add(db, row["cooker"], row["boot"], [record])
    db.execute("DELETE FROM raw WHERE id = ?", (row["id"],))
