"""The main job from its one command, as a person would start it: a process, real broker, real page, real MicroPython.

Everything is looked at from outside: what it prints, HTTP, and the record by plain sqlite3.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

PLAN = Path(__file__).with_name("short.toml")
SPEED = "150"
LIMIT_S = 1500.0  # ten times what the whole demonstration takes


class Demo:
    """A demonstration in a process of its own; `lines` fills as it prints."""

    def __init__(self, folder: Path, *more: str) -> None:
        self.db = folder / "demo.sqlite"
        command = [sys.executable, "-m", "emberdraft", "demo", "--plan", str(PLAN), "--speed", SPEED, "--port", "0"]
        self.process = subprocess.Popen(
            [*command, "--db", str(self.db), *more],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        self.lines: list[str] = []
        self._news = threading.Condition()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            with self._news:
                self.lines.append(line.rstrip("\n"))
                self._news.notify_all()

    def wait_for(self, pattern: str) -> re.Match[str]:
        """The first line that matches; an assertion with all that was printed if it never comes."""
        found: list[re.Match[str]] = []

        def seen() -> bool:
            found.extend(m for line in self.lines if (m := re.search(pattern, line)))
            return bool(found)

        with self._news:
            assert self._news.wait_for(seen, LIMIT_S), f"no {pattern!r} in:\n" + "\n".join(self.lines)
        return found[0]

    def end(self) -> int:
        """The exit code, when it ends by itself."""
        code = self.process.wait(LIMIT_S)
        self._reader.join(5.0)
        return code

    def close(self) -> None:
        """Ended for certain, and its output with it."""
        self.process.kill()
        self.process.wait(LIMIT_S)
        self._reader.join(5.0)
        if self.process.stdout is not None:
            self.process.stdout.close()


def _get(url: str, path: str) -> Any:
    with urllib.request.urlopen(url.rstrip("/") + path, timeout=LIMIT_S) as answer:
        return json.load(answer)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Demo, list[Any]]]:
    """One demonstration to its end; on the way the page was asked and a mark was made from a second command."""
    demo = Demo(tmp_path_factory.mktemp("demo"), "--exit-when-done")
    try:
        url = demo.wait_for(r"Watch it at (http://127\.0\.0\.1:\d+/)")[1]
        demo.wait_for("--- light")
        seen = [_get(url, "/api/now"), urllib.request.urlopen(url, timeout=LIMIT_S).read().decode()]
        mark = [sys.executable, "-m", "emberdraft", "mark", "note", "--text", "wind got up", "--db", str(demo.db)]
        seen.append(subprocess.run(mark, capture_output=True, text=True, check=False))
        seen.append(demo.end())
        yield demo, seen
    finally:
        demo.close()


def _sql(demo: Demo, sql: str) -> list[tuple[Any, ...]]:
    with contextlib.closing(sqlite3.connect(f"file:{demo.db}?mode=ro", uri=True)) as db:
        return db.execute(sql).fetchall()


def test_it_ends_by_itself_and_says_first_that_no_fire_was_burned(done) -> None:
    demo, seen = done
    assert seen[3] == 0, "\n".join(demo.lines)
    assert "No real fire has been burned" in demo.lines[0]
    assert not any("Traceback" in line for line in demo.lines), "\n".join(demo.lines)


def test_every_phase_is_told_in_order(done) -> None:
    demo, _ = done
    phases = [m[1] for line in demo.lines if (m := re.search(r"--- (\w+)", line))]
    assert phases == ["light", "soak", "slow", "climb", "sear", "bank"]


def test_cautions_stand_where_their_phase_begins(done) -> None:
    text = "\n".join(done[0].lines)
    for words in ("carbon monoxide: outdoors only", "starved hot fire flares", "metal bin, tight lid, two days"):
        assert words in text


def test_the_page_answered_while_it_cooked(done) -> None:
    now, html = done[1][0], done[1][1]
    assert now["phase"]["name"] == "light"
    assert now["link"]["state"] == "online"
    assert "<title>" in html and "Emberdraft" in html


def test_a_mark_from_another_command_is_kept(done) -> None:
    demo, seen = done
    assert seen[2].returncode == 0, seen[2].stderr
    assert _sql(demo, "select text from mark where kind = 'note'") == [("wind got up",)]


def test_no_record_is_missing_and_none_is_there_twice(done) -> None:
    """`(boot, seq)` of readings and events together run from 0 without a hole."""
    demo, _ = done
    rows = _sql(demo, "select boot, seq from reading union all select boot, seq from event order by boot, seq")
    for boot in {boot for boot, _ in rows}:
        numbers = [seq for b, seq in rows if b == boot]
        assert numbers == list(range(len(numbers)))
    assert len(rows) > 1500
    assert _sql(demo, "pragma integrity_check") == [("ok",)]


def test_the_record_tells_the_cook(done) -> None:
    demo, _ = done
    assert [row[0] for row in _sql(demo, "select phase from phase order by at_s")][-1] == "bank"
    kinds = {row[0] for row in _sql(demo, "select kind from mark")}
    assert {"lit", "lid_open", "lid_shut", "piece_on", "pulled"} <= kinds
    assert _sql(demo, "select count(*) from cook where invented = 1 and end_s is not null") == [(1,)]


def test_broken_off_with_ctrl_c_it_ends_quietly_and_can_be_begun_again(tmp_path: Path) -> None:
    for _ in range(2):
        demo = Demo(tmp_path)
        try:
            demo.wait_for("--- light")
            demo.process.send_signal(signal.SIGINT)
            assert demo.end() == 0
            assert not any("Traceback" in line for line in demo.lines), "\n".join(demo.lines)
        finally:
            demo.close()
    # The first was ended when the second was begun; the second is still open: nobody ended it.
    assert _sql(demo, "select count(*), count(end_s) from cook") == [(2, 1)]


def test_a_port_that_is_taken_is_one_line(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        demo = Demo(tmp_path, "--port", str(taken.getsockname()[1]))
        code = demo.end()
        demo.close()
    assert code == 1
    assert demo.lines[-1].startswith("emberdraft: port ")


def test_two_cookers_on_one_host_are_lit_each_by_its_own_board_and_take_their_own_commands(tmp_path: Path) -> None:
    demo = Demo(tmp_path, "--cookers", "2", "--speed", "30")
    try:
        url = demo.wait_for(r"Watch it at (http://127\.0\.0\.1:\d+/)")[1]
        for cooker in ("demo ", "demo2 "):
            demo.wait_for(f"^{cooker}.*--- light")
        states = {name: _get(url, f"/api/now?cooker={name}") for name in ("demo", "demo2")}
        assert states["demo"]["link"]["boot"] != states["demo2"]["link"]["boot"]
        mark = [sys.executable, "-m", "emberdraft", "mark", "lid_open", "--cooker", "demo2", "--db", str(demo.db)]
        assert subprocess.run(mark, check=False).returncode == 0
        orders = "select cooker from order_ where name = 'lid' and args like '%true%'"
        assert _sql(demo, orders) == [("demo2",)]
        assert [row[0] for row in _sql(demo, "select distinct cooker from reading order by 1")] == ["demo", "demo2"]
    finally:
        demo.close()
