"""Records that will never come: told by the board, or known from what it still holds. None of them is here."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

MOST_TAIL = 20  # rows in memory only, of an outage that ends with the board: 21 are written to its flash at once

_HERE = " UNION ".join(
    f"SELECT seq FROM {table} WHERE cooker = :cooker AND boot = :boot AND seq BETWEEN :first AND :last"
    for table in ("reading", "event", "raw")
)
# Stretches of first..last without a row: from each row, and from the end, back to the row before it.
_HOLES = f"""
SELECT before + 1, seq - 1 FROM (
  SELECT seq, lag(seq, 1, :first - 1) OVER (ORDER BY seq) AS before FROM ({_HERE} UNION SELECT :last + 1)
) WHERE seq - before > 1
"""
_OVER = """
SELECT first_seq, last_seq, at_most FROM lost
WHERE cooker = :cooker AND boot = :boot AND first_seq <= :last AND last_seq >= :first
"""
_TELL = """
INSERT INTO lost (cooker, boot, first_seq, last_seq, at_most) VALUES (:cooker, :boot, :first, :last, :at_most)
ON CONFLICT (cooker, boot, first_seq) DO UPDATE
SET last_seq = max(last_seq, excluded.last_seq), at_most = min(at_most, excluded.at_most)
"""
_EARLIER = """
SELECT boot, mark, (SELECT offset_s FROM boot WHERE cooker = :cooker AND boot = :boot) AS next_s FROM boot
WHERE cooker = :cooker AND NOT over AND id < (SELECT id FROM boot WHERE cooker = :cooker AND boot = :boot)
ORDER BY id
"""
_LAST_ROW = """
SELECT max(seq), max(at_s) FROM (
  SELECT * FROM (SELECT seq, at_s FROM reading WHERE cooker = :cooker AND boot = :boot ORDER BY seq DESC LIMIT 1)
  UNION ALL
  SELECT * FROM (SELECT seq, at_s FROM event WHERE cooker = :cooker AND boot = :boot ORDER BY seq DESC LIMIT 1))
"""


def tell(db: sqlite3.Connection, cooker: str, boot: str, first: int, last: int, at_most: bool = False) -> None:
    """Write down that `first` to `last` will never come; what is here stays out of it."""
    place = {"cooker": cooker, "boot": boot, "first": first, "last": last}
    for begin, end in holes(db, place):
        db.execute(_TELL, {**place, "first": begin, "last": end, "at_most": int(at_most)})


def holes(db: sqlite3.Connection, place: Mapping[str, Any]) -> list[tuple[int, int]]:
    """Stretches of `first` to `last` without a row."""
    return db.execute(_HOLES, place).fetchall()


def uncover(db: sqlite3.Connection, cooker: str, boot: str, seqs: Iterable[int]) -> None:
    """Rows have come after all: no range covers them any more."""
    found = list(seqs)
    if not found:
        return
    place = {"cooker": cooker, "boot": boot, "first": min(found), "last": max(found)}
    for first, last, at_most in db.execute(_OVER, place).fetchall():
        db.execute("DELETE FROM lost WHERE cooker = ? AND boot = ? AND first_seq = ?", (cooker, boot, first))
        tell(db, cooker, boot, first, last, bool(at_most))


def close_earlier(db: sqlite3.Connection, cooker: str, boot: str, held: Mapping[str, int]) -> Iterator[tuple[str, int]]:
    """Starts before `boot` that are over: nothing more of them is to come. (start, rows that may have gone with it).

    `held`: earlier starts that the board still has rows of, and one above the last. What a board had only in memory
    is gone with its power: how many rows is not known to anybody, but no more than `MOST_TAIL`, and no more than
    seconds passed until the next start.
    """
    place = {"cooker": cooker, "boot": boot}
    for earlier, mark, next_s in db.execute(_EARLIER, place).fetchall():
        if next_s is None or mark < held.get(earlier, 0):
            continue
        db.execute("UPDATE boot SET over = 1 WHERE cooker = ? AND boot = ?", (cooker, earlier))
        last_seq, last_s = db.execute(_LAST_ROW, {"cooker": cooker, "boot": earlier}).fetchone()
        most = MOST_TAIL if last_s is None else min(MOST_TAIL, max(0, int(next_s - last_s)))
        if most:
            first = max(mark, -1 if last_seq is None else last_seq + 1)
            tell(db, cooker, earlier, first, first + most - 1, at_most=True)
            yield earlier, most
