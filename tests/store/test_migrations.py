"""An older file is brought up to date step by step; a step that fails leaves the file as it was."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.store import Reader, Store, StoreTaken, schema
from tests.store.making import START_S

LATER = ("m0002_weather", ("ALTER TABLE cook ADD COLUMN weather TEXT", "UPDATE cook SET weather = 'not noted'"))
BROKEN = ("m0002_broken", ("ALTER TABLE cook ADD COLUMN weather TEXT", "UPDATE no_such_table SET a = 1"))


@pytest.fixture
def older(path: Path) -> Path:
    with Store(path) as store:
        store.begin_cook("yard", "supper", None, START_S)
    return path


def _know(monkeypatch: pytest.MonkeyPatch, step: tuple[str, tuple[str, ...]]) -> None:
    monkeypatch.setattr(schema, "STEPS", (*schema.STEPS, step))
    monkeypatch.setattr(schema, "STEP_NAMES", (*schema.STEP_NAMES, step[0]))


@pytest.mark.parametrize("kind", [Store, Reader])
def test_an_older_file_is_brought_up_to_date(older: Path, monkeypatch: pytest.MonkeyPatch, kind: type[Reader]) -> None:
    _know(monkeypatch, LATER)
    with kind(older) as opened:
        row = opened.cook(1)
        assert row is not None and (row["name"], row["weather"]) == ("supper", "not noted")
        assert opened.about()["step"] == "m0002_weather"


def test_a_step_that_fails_changes_nothing(older: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _know(monkeypatch, BROKEN)
    with pytest.raises(sqlite3.OperationalError, match="no_such_table"):
        Store(older)
    monkeypatch.undo()
    with Store(older) as store:
        row = store.cook(1)
        assert row is not None and "weather" not in row


def test_a_reader_does_not_change_a_file_that_is_being_written(older: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store(older):
        _know(monkeypatch, LATER)
        with pytest.raises(StoreTaken):
            Reader(older)


def test_each_step_is_named_in_the_file_with_its_time(older: Path) -> None:
    with closing(sqlite3.connect(older)) as db:
        rows = db.execute("SELECT migration_set, name, applied_at FROM _sqlite_migrations").fetchall()
    assert [(row[0], row[1]) for row in rows] == [("emberdraft", name) for name in schema.STEP_NAMES]
    assert all(row[2].startswith("20") for row in rows)
