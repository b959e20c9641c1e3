"""A file of every named step is brought up to date, also when the program dies in the middle of it.

A program that is killed leaves what is on the disk at that moment: the file and its log are copied at every statement
of an upgrade. What the next start makes of each such state is held against a file that was never disturbed. At every
tenth statement a child dies in earnest (`os._exit`, as by SIGKILL), to show that a copy is what a death leaves.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
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


def on_disk(path: Path) -> dict[str, bytes]:
    """The file, and beside it its log if there is one, by what their names end in."""
    ends = {end: path.with_name(path.name + end) for end in ("", "-wal")}
    return {end: file.read_bytes() for end, file in ends.items() if file.exists()}


def opened(path: Path, at_statement: Callable[[], object]) -> None:
    """Bring the file up to date; something is done before each statement."""
    plain = opening.connect

    def connect(*args: Any, **more: Any) -> sqlite3.Connection:
        db = plain(*args, **more)
        db.set_trace_callback(lambda sql: at_statement())
        return db

    with pytest.MonkeyPatch.context() as here:
        here.setattr(opening, "connect", connect)
        opening.open_writing(path).close()


def states(path: Path) -> list[dict[str, bytes]]:
    """What was on the disk at each statement of an upgrade, each state once."""
    seen: list[dict[str, bytes]] = []

    def look() -> None:
        now = on_disk(path)
        if now not in seen[-1:]:
            seen.append(now)

    opened(path, look)
    return seen


def dies_at(path: Path, statement: int) -> bool:
    """Open the file in a child that dies at this statement; False when it came through before."""
    child, left = os.fork(), count(1)
    if child == 0:
        try:
            opened(path, lambda: os._exit(DIED) if next(left) == statement else None)
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == DIED


@pytest.fixture(params=range(1, len(schema.STEPS)), ids=schema.STEP_NAMES[:-1])
def older(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    yield at_step(tmp_path / "older.sqlite", request.param, monkeypatch)


@pytest.fixture
def wanted(older: Path, tmp_path: Path) -> tuple[Any, ...]:
    """What an upgrade makes of the file that nothing disturbs."""
    undisturbed = Path(shutil.copy(older, tmp_path / "undisturbed.sqlite"))
    Store(undisturbed).close()
    found = whole(undisturbed)
    assert [name for (name,) in found[1]] == list(schema.STEP_NAMES)
    return found


def test_an_upgrade_that_is_killed_anywhere_is_taken_up_again(
    older: Path, wanted: tuple[Any, ...], tmp_path: Path
) -> None:
    left = states(older)
    assert len(left) > 2, "it leaves the file in several states"
    for number, state in enumerate(left):
        torn = tmp_path / f"torn{number}.sqlite"
        for end, data in state.items():
            torn.with_name(torn.name + end).write_bytes(data)
        Store(torn).close()
        assert whole(torn) == wanted, number


def test_a_program_that_dies_in_an_upgrade_leaves_no_more_than_that(
    older: Path, wanted: tuple[Any, ...], tmp_path: Path
) -> None:
    for statement in count(10, 10):
        torn = Path(shutil.copy(older, tmp_path / f"torn{statement}.sqlite"))
        died = dies_at(torn, statement)
        Store(torn).close()
        assert whole(torn) == wanted, statement
        if not died:
            break
    assert statement > 50, "it died at several places"
