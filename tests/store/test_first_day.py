"""A database from before the first release's tables were what they are: mended, or refused in one line.

The first day's tables: `boot` without `id`, its key (cooker, boot); `cook` without `first_boot` and `last_boot` (the
repository's own history, 25 November 2026, "store: Keep every acknowledged row in one STRICT SQLite file").
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from emberdraft.errors import UserError
from emberdraft.store import Reader, Store, schema
from emberdraft.store.shape import columns_of
from tests.store.making import START_S, reading

BOOT = """CREATE TABLE boot (cooker TEXT NOT NULL, boot TEXT NOT NULL, offset_s REAL, first_seq INTEGER,
 mark INTEGER NOT NULL DEFAULT 0, PRIMARY KEY (cooker, boot)) STRICT"""
COOK_ENDS = ",\n  first_boot INTEGER NOT NULL DEFAULT 0, -- boots heard before this one are of another time line"


def first_day(path: Path) -> Path:
    """A file as the first day's program left it: an ended cook of three readings by two boots, another one open."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute(f"PRAGMA application_id = {schema.APPLICATION_ID}")
        for statement in schema.STEPS[0][1]:
            if "CREATE TABLE boot" in statement:
                statement = BOOT
            if "CREATE TABLE cook (" in statement:
                statement = statement.split(COOK_ENDS)[0] + "\n) STRICT"
            db.execute(statement)
        db.execute(
            "CREATE TABLE _sqlite_migrations (id INTEGER PRIMARY KEY, migration_set TEXT, name TEXT, applied_at TEXT)"
        )
        db.execute("INSERT INTO _sqlite_migrations VALUES (1, 'emberdraft', 'm0001_first_release', '2026-11-25')")
        db.execute("INSERT INTO boot VALUES ('yard', 'b9', 0.0, 0, 2), ('yard', 'b1', 5.0, 0, 1)")
        for seq, boot in ((0, "b9"), (1, "b9"), (0, "b1")):
            at_s = START_S + seq + (10.0 if boot == "b1" else 0.0)
            db.execute("INSERT INTO reading (cooker, at_s, boot, seq, ms, late, pit_c) VALUES ('yard',?,?,?,?,0,120.5)",
                       (at_s, boot, seq, seq * 1000))  # fmt: skip
        db.execute(
            "INSERT INTO cook (cooker, name, start_s, end_s) VALUES ('yard', 'first', ?, ?)", (START_S, START_S + 60)
        )
        db.execute("INSERT INTO cook (cooker, name, start_s) VALUES ('yard', 'second', ?)", (START_S + 100,))
    return path


@pytest.mark.parametrize("kind", [Store, Reader])
def test_it_is_mended_and_nothing_of_it_is_lost(path: Path, kind: type[Reader]) -> None:
    with kind(first_day(path)) as opened:
        assert [row["name"] for row in opened.cooks()] == ["second", "first"]
        found = opened.readings(1)
        assert (found["seq"], found["pit_c"], found["boot"]) == ([0, 1, 0], [120.5] * 3, ["b9", "b9", "b1"])
        assert opened.strip(1, START_S, START_S + 60.0, 50)
        assert opened.gaps(1) is not None
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT id, boot, mark FROM boot ORDER BY id").fetchall() == [(1, "b9", 2), (2, "b1", 1)]


def test_a_daemon_goes_on_with_it_and_its_tables_are_those_of_a_new_one(path: Path, tmp_path: Path) -> None:
    with Store(first_day(path)) as store:
        assert store.mark_of("yard", "b9") == 2
        assert store.add_records("yard", "b1", [reading(1, at_s=START_S + 120.0)]) == 1
        assert store.readings(2)["seq"] == [1]
        store.end_cook(2, START_S + 200.0, "plan")
        store.begin_cook("yard", "third", None, START_S + 300.0)
    Store(tmp_path / "new.sqlite").close()
    with closing(sqlite3.connect(path)) as old, closing(sqlite3.connect(tmp_path / "new.sqlite")) as new:
        assert columns_of(old) == columns_of(new)


def test_a_mending_that_fails_leaves_the_file_as_it_was(path: Path) -> None:
    with closing(sqlite3.connect(first_day(path))) as db:
        db.execute("CREATE TABLE boot_of_first_day (a)")
        before = columns_of(db)
    with pytest.raises(sqlite3.OperationalError):
        Store(path)
    with closing(sqlite3.connect(path)) as db:
        assert columns_of(db) == before


TABLES = ("boot", "cook", "reading", "mark", "piece", "alarm", "order_", "event", "look", "slice", "state")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(table=st.sampled_from(TABLES), number=st.integers(0, 40), whole=st.booleans())
def test_a_file_that_lacks_any_column_is_refused_in_one_line_or_is_whole_afterwards(
    tmp_path: Path, table: str, number: int, whole: bool
) -> None:
    path = tmp_path / "lacking.sqlite"
    path.unlink(missing_ok=True)
    Store(path).close()
    with closing(sqlite3.connect(path)) as db:
        names = columns_of(db)[table]
        try:
            db.execute(
                f"DROP TABLE {table}" if whole else f"ALTER TABLE {table} DROP COLUMN {names[number % len(names)]}"
            )
        except sqlite3.OperationalError:
            assume(False)  # part of a key or an index: SQLite itself keeps it
    for kind in (Reader, Store):
        try:
            kind(path).close()
        except UserError as error:
            assert "\n" not in str(error) and table in str(error)
        else:
            assert table in ("boot", "cook"), "what a first day's file lacks is mended"
