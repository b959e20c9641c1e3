"""A file of every named step is brought up to date, also when the program dies in the middle of it.

The child dies at once (`os._exit`, as by SIGKILL) at its n-th statement, for every n there is; what the next start
makes of the file is held against a file that was never disturbed.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from itertools import count
from pathlib import Path
from typing import Any

import pytest
import sqlite_utils  # noqa: F401 - imported once, before the children

from emberdraft.store import Store, schema
from emberdraft.store import open as opening
from tests.store.making import START_S, reading

DIED = 9


def at_step(path: Path, last: int, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A file as the release wrote it whose newest step that was, with a cook in it."""
    with monkeypatch.context() as then:
        then.setattr(schema, "STEPS", schema.STEPS[:last])
        then.setattr(schema, "STEP_NAMES", schema.STEP_NAMES[:last])
        db = opening.open_writing(path)
    with closing(db):
        db.execute("INSERT INTO cook (cooker, name, start_s, invented) VALUES ('yard', 'supper', ?, 0)", (START_S,))
        row = reading(0)
        names = ("at_s", "boot", "seq", "ms", "pit_c")
        db.execute(
            f"INSERT INTO reading (cooker, late, {', '.join(names)}) VALUES ('yard', 0, ?, ?, ?, ?, ?)",
            tuple(row[name] for name in names),
        )
    return path


def whole(path: Path) -> tuple[Any, ...]:
    """Tables, steps and rows of a file; it is sound."""
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        tables = db.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        steps = db.execute("SELECT name FROM _sqlite_migrations ORDER BY id").fetchall()
        rows = db.execute("SELECT cooker, at_s, seq, pit_c FROM reading").fetchall()
        return tables, steps, rows, db.execute("SELECT name, start_s FROM cook").fetchall()


def dies_at(path: Path, statement: int) -> bool:
    """Open the file in a child that dies at this statement; False when it came through before."""
    child = os.fork()
    if child == 0:
        left = count(1)
        plain = opening.connect

        def connect(*args: Any, **more: Any) -> sqlite3.Connection:
            db = plain(*args, **more)
            db.set_trace_callback(lambda sql: os._exit(DIED) if next(left) == statement else None)
            return db

        opening.connect = connect  # type: ignore[assignment]
        try:
            opening.open_writing(path).close()
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == DIED


@pytest.fixture(params=range(1, len(schema.STEPS)), ids=schema.STEP_NAMES[:-1])
def older(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    yield at_step(tmp_path / "older.sqlite", request.param, monkeypatch)


def test_an_upgrade_that_is_killed_anywhere_is_taken_up_again(older: Path, tmp_path: Path) -> None:
    undisturbed = Path(shutil.copy(older, tmp_path / "undisturbed.sqlite"))
    Store(undisturbed).close()
    wanted = whole(undisturbed)
    assert [name for (name,) in wanted[1]] == list(schema.STEP_NAMES)
    for statement in count(1):
        torn = Path(shutil.copy(older, tmp_path / f"torn{statement}.sqlite"))
        died = dies_at(torn, statement)
        Store(torn).close()
        assert whole(torn) == wanted, statement
        if not died:
            break
    assert statement > 8, "it died at many places"
