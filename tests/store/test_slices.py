"""Slices of twenty seconds: the same extremes as the readings, whatever order these come in; none is another cook's."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from emberdraft.store import Store, slices, strip
from tests.store.first_release import FILE
from tests.store.making import START_S, reading

ALL = f"""SELECT cooker, {slices.NUMBER}, boot, {", ".join(f"min({n}), max({n})" for n in slices.TRACES)}, count(*)
FROM reading GROUP BY 1, 2, 3 ORDER BY 1, 2, 3"""


def kept_and_right(path: Path) -> tuple[list[tuple[object, ...]], list[tuple[object, ...]]]:
    with closing(sqlite3.connect(path)) as db:
        kept = db.execute("SELECT * FROM slice ORDER BY cooker, number, boot").fetchall()
        return kept, db.execute(ALL).fetchall()


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(st.integers(0, 400), max_size=40), max_size=6), st.booleans())
def test_slices_are_the_readings_extremes_in_whatever_order_these_come(
    tmp_path_factory: pytest.TempPathFactory, batches: list[list[int]], late: bool
) -> None:
    path = tmp_path_factory.mktemp("slices") / "cooks.sqlite"
    with Store(path) as store:
        for batch in batches:
            rows = [reading(n, pit_c=float((n * 37) % 101), late=late) for n in batch]
            store.add_records("yard", "b1", rows)
    kept, right = kept_and_right(path)
    assert kept == right


def test_an_older_file_gets_its_slices(tmp_path: Path) -> None:
    path = Path(shutil.copy(FILE, tmp_path / "old.sqlite"))
    Store(path).close()
    kept, right = kept_and_right(path)
    assert kept == right
    assert kept


@pytest.fixture
def day(tmp_path: Path) -> Path:
    """Three hours with one peak and one dip of a second each, and another boot's cook right before and after."""
    path = tmp_path / "day.sqlite"
    with Store(path) as store:
        for boot, at_s, count, pit_c in (
            ("a1", -3607.0, 3606, 300.0),
            ("b1", 0.0, 10_800, 120.0),
            ("c1", 10_803.0, 3600, 10.0),
        ):
            rows = [reading(n, at_s=START_S + at_s + n, pit_c=pit_c) for n in range(count)]
            if boot == "b1":
                rows[4321]["pit_c"], rows[9876]["pit_c"] = 171.5, 80.25
            cook_id = store.begin_cook("yard", boot, None, START_S + at_s)
            store.add_records("yard", boot, rows)
            store.end_cook(cook_id, START_S + at_s + count, "done")
    return path


def test_a_long_strip_keeps_every_peak_and_takes_no_neighbours(day: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Store(day) as store:
        sliced = store.strip(2, points=400)
        monkeypatch.setattr(strip, "MOST_READ", 10**9)
        read = store.strip(2, points=400)
    for drawn in (sliced, read):
        assert (min(drawn["pit_c"]), max(drawn["pit_c"])) == (80.25, 171.5)
        assert drawn["t"] == sorted(drawn["t"])
    at_s = sliced["t"][sliced["pit_c"].index(171.5)] - START_S
    assert abs(at_s - 4321) < 60
    assert len(sliced["t"]) != len(read["t"])  # the two ways were really taken


def test_a_gap_of_some_minutes_stays_a_gap_in_a_long_strip(tmp_path: Path) -> None:
    with Store(tmp_path / "gap.sqlite") as store:
        cook_id = store.begin_cook("yard", "gap", None, START_S)
        store.add_records("yard", "b1", [reading(n) for n in range(12_000) if not 5000 <= n < 5600])
        store.end_cook(cook_id, START_S + 12_000.0, "done")
        drawn = store.strip(cook_id, points=400)
    inside = [v for t, v in zip(drawn["t"], drawn["pit_c"], strict=True) if START_S + 5080 < t < START_S + 5520]
    assert inside and set(inside) == {None}


def test_a_zoom_shows_the_readings_themselves(day: Path) -> None:
    with Store(day) as store:
        drawn = store.strip(2, START_S + 4300.0, START_S + 4400.0, 1200)
    assert drawn["t"] == [START_S + n for n in range(4300, 4401)]
    assert drawn["pit_c"][21] == 171.5
