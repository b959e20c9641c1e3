"""Whether a file has the tables that its steps say, and the mending of files that a first day's program wrote.

On its first day, before any release, the first step was changed once: `boot` got a number, `cook` the boots that it
lies between. Files from before bear the name of the same step. They are brought to the tables of the release: boots are
numbered in the order in which they were written, and no cook lies between any, as where no clock ever went back.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from contextlib import closing

from emberdraft.store import schema

_BOOT = next(text for text in schema.STEPS[0][1] if "CREATE TABLE boot" in text)
_MEND = (
    ("boot", "id", ("ALTER TABLE boot RENAME TO boot_of_first_day", _BOOT.strip(),
        "INSERT INTO boot SELECT rowid, cooker, boot, offset_s, first_seq, mark FROM boot_of_first_day ORDER BY rowid",
        "DROP TABLE boot_of_first_day")),
    ("cook", "first_boot", ("ALTER TABLE cook ADD COLUMN first_boot INTEGER NOT NULL DEFAULT 0",)),
    ("cook", "last_boot", ("ALTER TABLE cook ADD COLUMN last_boot INTEGER",)),
)  # fmt: skip


def of_first_day(db: sqlite3.Connection) -> bool:
    """Whether the file was written before the first step was what it is."""
    columns = columns_of(db)
    return any(column not in columns.get(table, {column}) for table, column, _ in _MEND)


def mend(db: sqlite3.Connection) -> None:
    """Bring a first day's file to the tables of the release, all or nothing; others stay as they are."""
    if not of_first_day(db):
        return
    columns = columns_of(db)
    db.execute("BEGIN IMMEDIATE")
    try:
        for table, column, statements in _MEND:
            for statement in statements if column not in columns[table] else ():
                db.execute(statement)
        db.execute("COMMIT")
    except BaseException:
        db.execute("ROLLBACK")
        raise


def missing(db: sqlite3.Connection, steps: Sequence[str]) -> str:
    """The first table or column that the file lacks of its steps, '' where it has all: 'cook.note'."""
    with closing(sqlite3.connect(":memory:")) as new:
        for name, statements in schema.STEPS:
            for statement in statements if name in steps else ():
                new.execute(statement)
        wanted = columns_of(new)
    has = columns_of(db)
    return next((f"{t}.{c}" for t, columns in wanted.items() for c in columns if c not in has.get(t, ())), "")


def columns_of(db: sqlite3.Connection) -> dict[str, list[str]]:
    """The columns of each table."""
    rows = db.execute(
        "SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c "
        "WHERE m.type = 'table' ORDER BY m.name, c.cid"
    )
    found: dict[str, list[str]] = {}
    for table, column in rows:
        found.setdefault(table, []).append(column)
    return found
