"""Why the stone was not hotter, of recorded cooks: a vent left half shut, and a climb that went well."""

from __future__ import annotations

import contextlib
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from emberdraft.cli import main
from emberdraft.daemon.plan import example_text, parse_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.review.why import why_of, why_words
from emberdraft.said import render
from emberdraft.store import Reader, Store

SHORT = ('expect = "25 min"\nlongest = "45 min"', 'expect = "5 min"\nlongest = "10 min"')


def _record(folder: Path, *changes: tuple[str, str]) -> Path:
    text = example_text("two_chops")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    rehearse(parse_plan(text), db=folder / "cooks.sqlite")
    return folder / "cooks.sqlite"


@pytest.fixture(scope="module")
def short(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A climb that was given ten minutes to 330 degC."""
    return _record(
        tmp_path_factory.mktemp("short"),
        SHORT,
        ('stone = "270C"', 'stone = "330C"'),
        ('recover = "262C"', 'recover = "200C"'),
    )


def test_a_climb_with_too_little_time_is_told_so_with_what_more_time_gives(short: Path) -> None:
    with Reader(short) as reader:
        found = why_of(reader, 1)
    assert found is not None
    assert found["limit"] in ("time", "air")
    assert found["highest_c"] < 330.0
    assert found["with_advice_c"] > found["as_it_was_c"]
    said = " ".join(map(str, why_words(found))).replace("\u00a0", " ")
    assert said.startswith(f"The stone came to {found['highest_c']:.0f} °C of 330 °C in ")
    assert "Was the top vent fully open" in said
    assert "by a model of this cooker" in said
    assert "°F" in " ".join(render(line, "f") for line in why_words(found))


def test_show_says_it_below_the_figures(short: Path, capsys: Any) -> None:
    assert main(["show", "1", "--db", str(short)]) == 0
    assert "Why was the stone not hotter?" in capsys.readouterr().out


def test_a_climb_that_went_well_is_not_asked_about(tmp_path: Path) -> None:
    with Reader(_record(tmp_path)) as reader:
        assert why_of(reader, 1) is None


def test_a_cook_without_a_climb_or_without_its_beginning_is_not_judged(store: Store, cook: int) -> None:
    assert why_of(store, cook) is None  # the climb of five minutes is within the plan's 25
    empty = store.begin_cook("yard", "nothing", None, 0.0)
    assert why_of(store, empty) is None


def test_a_climb_of_which_nothing_was_recorded_is_not_judged(short: Path, tmp_path: Path) -> None:
    """The board was not heard while it climbed, and a single reading was brought at its end."""
    copy = tmp_path / "gap.sqlite"
    with Reader(short) as reader:
        [climb] = [row for row in reader.phases(1) if row["phase"] == "climb"]
    with contextlib.closing(sqlite3.connect(short)) as db, contextlib.closing(sqlite3.connect(copy)) as gap:
        db.backup(gap)
        gap.execute("DELETE FROM reading WHERE at_s BETWEEN ? AND ?", (climb["at_s"], climb["end_s"] - 20.0))
        gap.commit()
    with Reader(copy) as reader:
        assert why_of(reader, 1) is None
