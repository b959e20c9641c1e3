"""Opening a database file: is it ours, is it of this release, and bring an older one up to date."""

from __future__ import annotations

import sqlite3
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

from emberdraft.store import schema, shape
from emberdraft.store.errors import StoreError, StoreNewer, plainly

if TYPE_CHECKING:
    from sqlite_utils.migrations import Migrations

BUSY_WAIT_S = 2.0


def connect(path: Path, *, writing: bool) -> sqlite3.Connection:
    """A connection that may pass between threads; a reading one can change nothing.

    Each commit is synced to the disk (synchronous=FULL): what was acknowledged to a board survives a power
    cut as well as a kill. At one row a second that costs nothing worth saving.
    """
    mode = "rwc" if writing else "rw"
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    db = sqlite3.connect(uri, uri=True, timeout=BUSY_WAIT_S, isolation_level=None, check_same_thread=False)
    try:
        db.execute("PRAGMA foreign_keys = ON")
        db.execute("PRAGMA synchronous = FULL")
        if not writing:
            db.execute("PRAGMA query_only = ON")
    except BaseException:
        db.close()
        raise
    return db


def applied_steps(db: sqlite3.Connection) -> list[str]:
    """Names of the migrations this file has been through, oldest first; none for an empty file."""
    if db.execute("SELECT 1 FROM sqlite_master WHERE name = '_sqlite_migrations'").fetchone() is None:
        return []
    rows = db.execute(
        "SELECT name FROM _sqlite_migrations WHERE migration_set = ? ORDER BY id", (schema.MIGRATION_SET,)
    )
    return [name for (name,) in rows]


def check_ours(db: sqlite3.Connection, path: Path) -> None:
    """Refuse another program's file, and a file from a newer release."""
    (application_id,) = db.execute("PRAGMA application_id").fetchone()
    (tables,) = db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if tables and application_id != schema.APPLICATION_ID:
        raise StoreError(f"{path} is a database of another program. Name a file that Emberdraft wrote, or a new one.")
    newer = [name for name in applied_steps(db) if name not in schema.STEP_NAMES]
    if newer:
        raise StoreNewer(
            f"{path} was written by Emberdraft {release_of(db)}, which is newer than this one, {version('emberdraft')} "
            f"(step {newer[-1]} is not known here). Use the newer release, or name another file with --db."
        )
    lacks = "" if shape.of_first_day(db) else shape.missing(db, applied_steps(db))
    if lacks:
        raise StoreError(f"{path} has no {lacks}: the tables of no release. Keep it, and name another file with --db.")


def pending(db: sqlite3.Connection) -> bool:
    """Whether migrations are still to be applied."""
    return applied_steps(db) != list(schema.STEP_NAMES) or shape.of_first_day(db)


def migrate(db: sqlite3.Connection) -> None:
    """Bring the file to this release's tables; each step is one transaction."""
    from sqlite_utils import Database  # late: importing it takes most of a second

    db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
    db.execute("PRAGMA journal_mode = WAL")
    shape.mend(db)
    _migrations().apply(Database(db, strict=True))
    db.execute(
        "INSERT INTO state (key, value) VALUES ('release', ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        (version("emberdraft"),),
    )


def open_writing(path: Path) -> sqlite3.Connection:
    """A writing connection to a file that is ours and up to date; made if it does not exist."""
    with plainly(path):
        db = connect(path, writing=True)
        try:
            check_ours(db, path)
            if pending(db):
                migrate(db)
        except BaseException:
            db.close()
            raise
    return db


def release_of(db: sqlite3.Connection) -> str:
    """The release that last changed the tables of this file."""
    row = db.execute("SELECT value FROM state WHERE key = 'release'").fetchone()
    return row[0] if row else "of unknown number"


def _migrations() -> Migrations:
    from sqlite_utils import Database
    from sqlite_utils.migrations import Migrations

    steps = Migrations(schema.MIGRATION_SET)
    for name, statements in schema.STEPS:

        def step(db: Database, statements: tuple[str, ...] = statements) -> None:
            for statement in statements:
                db.execute(statement.strip())

        steps(name=name)(step)
    return steps
