"""What cannot be done is one sentence, and nothing has changed."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.errors import UserError
from emberdraft.store import Reader, Store, StoreBusy, StoreError, StoreFull, StoreNewer
from emberdraft.store import open as opening
from tests.store.making import START_S, reading


def test_a_locked_database_says_so_and_keeps_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "BUSY_WAIT_S", 0.05)
    with Store(path) as store, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreBusy, match="locked by another program"):
            store.add_records("yard", "b1", [reading(0)])
        other.execute("ROLLBACK")
        assert store.add_records("yard", "b1", [reading(0)]) == 1


def test_a_full_disk_says_so_keeps_the_old_rows_and_goes_on_when_there_is_room(store: Store) -> None:
    """SQLite's own page limit gives the error a full disk gives: SQLITE_FULL."""
    store.add_records("yard", "b1", [reading(0)])
    (pages,) = store._db.execute("PRAGMA page_count").fetchone()
    store._db.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(StoreFull, match="disk is full"):
        store.add_records("yard", "b1", [reading(n) for n in range(1, 400)])
    assert store.mark_of("yard", "b1") == 1
    store._db.execute("PRAGMA max_page_count = 1000000")
    assert store.add_records("yard", "b1", [reading(n) for n in range(1, 400)]) == 399


def test_a_newer_file_is_refused_with_both_versions(path: Path) -> None:
    Store(path).close()
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute(
            "INSERT INTO _sqlite_migrations (migration_set, name, applied_at) VALUES ('emberdraft', 'm0099_later', '')"
        )
        db.execute("UPDATE state SET value = '9.8.7' WHERE key = 'release'")
    for kind in (Store, Reader):
        with pytest.raises(StoreNewer, match=r"9\.8\.7.*newer than this one, \d+\.\d+.*m0099_later"):
            kind(path)


def test_a_file_that_is_no_database_is_refused_and_left_alone(path: Path) -> None:
    path.write_text("pit,stone\n120,130\n" * 40)
    with pytest.raises(UserError, match="is not a database"):
        Store(path)
    assert path.read_text().startswith("pit,stone")


def test_another_programs_database_is_refused_and_left_alone(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipe (name TEXT)")
    with pytest.raises(UserError, match="database of another program"):
        Store(path)
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT name FROM sqlite_master").fetchall() == [("recipe",)]


def test_reading_what_is_not_there_is_refused(path: Path) -> None:
    with pytest.raises(UserError, match="no such database"):
        Reader(path)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="cannot be made"):
        Store(tmp_path / "file" / "cooks.sqlite")


def test_after_a_refusal_the_lock_is_free(path: Path) -> None:
    path.write_text("no database" * 200)
    with pytest.raises(UserError):
        Store(path)
    path.unlink()
    Store(path).close()


def test_a_closed_store_says_so(path: Path) -> None:
    store = Store(path)
    store.close()
    with pytest.raises(StoreError, match="has been closed"):
        store.cooks()
    with pytest.raises(StoreError, match="has been closed"):
        store.add_records("yard", "b1", [reading(0)])
    store.close()


def test_an_unknown_cook_is_named(store: Store) -> None:
    assert store.cook(5) is None
    with pytest.raises(UserError, match="no cook 5"):
        store.readings(5)


def test_a_second_open_cook_is_refused_by_name(store: Store) -> None:
    store.begin_cook("yard", "supper", None, START_S)
    with pytest.raises(StoreError, match=r"Cook 1 \(supper\) on yard has not ended"):
        store.begin_cook("yard", "lunch", None, START_S + 60.0)
    store.begin_cook("shed", "lunch", None, START_S + 60.0)
