"""What can still be read of a damaged database, row by row with plain SQL, into a new one.

A table is read upward until SQLite stumbles, then downward from its end; what lies between is halved and tried again,
the widest gap first, so that each damaged page costs its own rows and no others. A row is taken whole or not at all.
"""

from __future__ import annotations

import heapq
import sqlite3
from collections.abc import Iterator
from typing import Any, NamedTuple

from emberdraft.store import lost, records, slices

DERIVED = ("slice",)  # made anew from the readings
BY_TIME = ("reading", "event")
LEAST = 0.5  # of a key (a second, a number): narrower gaps are given up
LATEST_S = 2.0**32  # unix seconds, and no table has more rows
TRIES = 1000  # queries in a row that stumble and bring no row: what is left is narrow, or the table's root is gone
WRONG = (sqlite3.Error, UnicodeError, OverflowError)


class Table(NamedTuple):
    """`key` gives its rows an order in numbers; with `cooker` that order is one cooker's."""

    name: str
    columns: list[str]
    key: str
    cooker: str | None = None


def salvage(old: sqlite3.Connection, new: sqlite3.Connection) -> dict[str, int]:
    """Copy all that reads from `old` into `new`, which has this release's tables; rows taken over, by table."""
    old.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")  # what is no text is refused by `new`
    new.execute("PRAGMA foreign_keys = OFF")
    new.execute("BEGIN IMMEDIATE")
    taken = {name: sum(_copy(old, new, part) for part in _parts(old, new, name)) for name in _names(new)}
    _tell_holes(new)
    _derive(new)
    new.execute("COMMIT")
    return taken


def _names(new: sqlite3.Connection) -> list[str]:
    found = new.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY rowid").fetchall()
    return [name for (name,) in found if not name.startswith(("sqlite_", "_")) and name not in DERIVED]


def _parts(old: sqlite3.Connection, new: sqlite3.Connection, name: str) -> list[Table]:
    """A table as it is in both, cooker by cooker where its rows lie so."""
    here = {row[1] for row in _readable(old, f"PRAGMA table_info({name})", {})}
    columns = [row[1] for row in new.execute(f"PRAGMA table_info({name})") if not here or row[1] in here]
    if name not in BY_TIME:
        return [Table(name, columns, "rowid")]
    cookers: set[str] = set()
    for table in ("boot", "cook", *BY_TIME):
        cookers |= {str(row[0]) for row in _readable(old, f"SELECT DISTINCT cooker FROM {table}", {})}
    return [Table(name, columns, "at_s", cooker) for cooker in sorted(cookers)]


def _copy(old: sqlite3.Connection, new: sqlite3.Connection, table: Table) -> int:
    names, places = ", ".join(table.columns), ", ".join("?" * len(table.columns))
    insert = f"INSERT OR IGNORE INTO {table.name} ({names}) VALUES ({places})"
    taken = 0
    for row in _rows(old, table):
        try:
            taken += new.execute(insert, row[1:]).rowcount
        except WRONG:
            continue  # a value that this column cannot have: not what was written
    return taken


def _rows(old: sqlite3.Connection, table: Table) -> Iterator[tuple[Any, ...]]:
    """Every row that reads, its key first; some come twice."""
    gaps, tries = [(-LATEST_S, 0.0, LATEST_S)], 0
    while gaps and tries < TRIES:
        _, low, high = heapq.heappop(gaps)
        for direction in ("ASC", "DESC"):
            upward = direction == "ASC"
            rows = _readable(old, _select(table, direction), {"low": low, "high": high, "cooker": table.cooker})
            for row in rows:
                low, high = (row[0], high) if upward else (low, row[0])
                tries = 0
                yield row
            if rows.whole:
                break
            tries += 1
        else:
            middle = (low + high) / 2.0
            for part in ((low, middle), (middle, high)) if high - low > LEAST else ():
                heapq.heappush(gaps, (part[0] - part[1], *part))


def _select(table: Table, direction: str) -> str:
    of_cooker = "cooker = :cooker AND " if table.cooker is not None else ""
    return (
        f"SELECT {table.key}, {', '.join(table.columns)} FROM {table.name} "
        f"WHERE {of_cooker}{table.key} BETWEEN :low AND :high ORDER BY {table.key} {direction}"
    )


class _readable:  # noqa: N801 - used like a function
    """Rows of a query until SQLite stumbles; `whole` is True if it did not."""

    def __init__(self, db: sqlite3.Connection, sql: str, values: dict[str, Any]) -> None:
        self._db, self._sql, self._values = db, sql, values
        self.whole = False

    def __iter__(self) -> Iterator[tuple[Any, ...]]:
        try:
            yield from self._db.execute(self._sql, self._values)
            self.whole = True
        except (sqlite3.Error, UnicodeError):
            return


def _tell_holes(new: sqlite3.Connection) -> None:
    """Rows that the board was told to forget and that are not here now are lost, and that is written down."""
    _find_boots(new)
    for cooker, boot, first, mark in new.execute(
        "SELECT cooker, boot, coalesce(first_seq, 0), mark FROM boot"
    ).fetchall():
        lost.tell(new, cooker, boot, first, mark - 1)


def _find_boots(new: sqlite3.Connection) -> None:
    """A start whose own row is gone is known by its readings."""
    known = "SELECT 1 FROM boot WHERE boot.cooker = reading.cooker AND boot.boot = reading.boot"
    sql = f"""SELECT cooker, boot, min(at_s - ms / 1000.0), min(seq) FROM reading
              WHERE NOT EXISTS ({known}) GROUP BY cooker, boot"""
    for cooker, boot, offset_s, first in new.execute(sql).fetchall():
        records.note_boot(new, cooker, boot, offset_s)
        records.begin_at(new, cooker, boot, first)


def _derive(new: sqlite3.Connection) -> None:
    new.execute("DELETE FROM slice")
    for cooker, boot in new.execute("SELECT DISTINCT cooker, boot FROM reading").fetchall():
        moments = new.execute("SELECT at_s FROM reading WHERE cooker = ? AND boot = ?", (cooker, boot))
        slices.renew(new, cooker, boot, [at_s for (at_s,) in moments])
