"""The file is an ordinary SQLite file: read here with the standard library alone, on a connection of its own."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from emberdraft.store import Reader, Store
from tests.store.making import START_S, event, reading


def plain(path: Path, sql: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(sql).fetchall()


def test_every_table_is_strict(store: Store, path: Path) -> None:
    made = dict(plain(path, "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND sql IS NOT NULL"))
    assert {"cook", "reading", "event", "mark", "order_", "plan", "alarm", "piece", "tuning"} <= set(made)
    assert [name for name, sql in made.items() if "STRICT" not in str(sql).upper().rpartition(")")[2]] == []


def test_it_is_in_wal_mode_and_carries_our_mark(store: Store, path: Path) -> None:
    assert plain(path, "PRAGMA journal_mode") == [("wal",)]
    assert plain(path, "PRAGMA application_id") == [(int.from_bytes(b"EMBR", "big"),)]


def test_each_commit_is_synced(store: Store) -> None:
    # https://sqlite.org/pragma.html#pragma_synchronous: 2 is FULL.
    assert store._db.execute("PRAGMA synchronous").fetchone() == (2,)


def test_a_reading_reads_back_with_its_units(store: Store, path: Path) -> None:
    store.add_records("yard", "b1", [reading(7, late=True, lid_open=True)])
    columns = "at_s, late, pit_c, core1_c, core2_c, core2_fault, core3_fault, duty, opening, lid_open, i_duty"
    row = plain(path, f"SELECT {columns} FROM reading WHERE cooker = 'yard' AND boot = 'b1' AND seq = 7")
    assert row == [(START_S + 7, 1, 120.5, 41.0, None, "open", "absent", 0.25, 0.4, 1, 0.2)]


def test_an_event_reads_back(store: Store, path: Path) -> None:
    store.add_records("yard", "b1", [event(3, "alert", value=351.0, limit=350.0, text="pit_over_limit")])
    row = plain(path, "SELECT at_s, kind, value, limit_value, text FROM event")
    assert row == [(START_S + 3, "alert", 351.0, 350.0, "pit_over_limit")]


def test_integrity_check_is_ok(store: Store, path: Path) -> None:
    store.add_records("yard", "b1", [reading(n) for n in range(500)])
    assert plain(path, "PRAGMA integrity_check") == [("ok",)]


def test_a_reader_beside_the_writer_sees_each_commit(store: Store, path: Path) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    with Reader(path) as reader:
        assert reader.readings(cook_id)["seq"] == []
        store.add_records("yard", "b1", [reading(0)])
        assert reader.readings(cook_id)["seq"] == [0]


def test_a_reader_can_change_nothing(store: Store, path: Path) -> None:
    with Reader(path) as reader, reader._pool.take() as db:
        try:
            db.execute("DELETE FROM cook")
        except sqlite3.OperationalError as error:
            assert "readonly" in str(error)
        else:
            raise AssertionError("a reader wrote")


def test_opening_a_current_file_does_not_import_the_migration_library(store: Store, path: Path) -> None:
    code = (
        f"import sys; from emberdraft.store import Reader; Reader({str(path)!r}); print('sqlite_utils' in sys.modules)"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"
