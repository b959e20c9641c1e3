"""A database written by the first release opens for ever, and nothing in it has moved.

The expected numbers are those that tests/store/first_release.py wrote, copied here by hand.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.review import chunks_of, figures_of, summary_text
from emberdraft.store import Reader, Store
from tests.store.first_release import FILE, START_S


@pytest.fixture
def old(tmp_path: Path) -> Path:
    return Path(shutil.copy(FILE, tmp_path / "old.sqlite"))


def _schema(path: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as db:
        return db.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()


def test_it_opens_and_its_cook_is_there(old: Path) -> None:
    with Reader(old) as reader:
        (cook,) = reader.cooks()
        assert (cook["name"], cook["start_s"], cook["end_s"]) == ("Two chops", START_S, START_S + 600.0)
        assert (cook["how"], cook["invented"], cook["note"]) == ("plan", 1, "invented")
        readings = reader.readings(cook["id"])
        assert len(readings["seq"]) == 580
        place = readings["seq"].index(450)
        assert (readings["pit_c"][place], readings["stone_c"][place], readings["core1_c"][place]) == (
            152.5,
            137.25,
            85.5,
        )
        assert sum(readings["late"]) == 10
        assert [event["kind"] for event in reader.events(cook["id"])] == ["lost", "lid_open", "lid_shut"]


def test_every_part_of_the_cook_is_there(old: Path) -> None:
    with Reader(old) as reader:
        assert [(p["phase"], p["at_s"] - START_S, p["target_c"]) for p in reader.phases(1)] == [
            ("light", 0.0, 115.0),
            ("slow", 120.0, 115.0),
            ("climb", 420.0, 270.0),
            ("bank", 540.0, None),
        ]
        assert [(p["letter"], p["probe"], p["pull_c"], p["mass_kg"]) for p in reader.pieces(1)] == [
            ("A", 0, 57.0, 0.42),
            ("B", None, None, None),
        ]
        assert [(m["kind"], m["value"]) for m in reader.marks(1)] == [("lit", None), ("vent_top", 0.25)]
        assert [(o["n"], o["args"], o["code"]) for o in reader.orders(1)] == [(1, {"ti_s": 600.0}, "")]
        assert [t["gains"]["ti_s"] for t in reader.tunings(1)] == [400.0, 600.0]
        assert [(a["alert"], a["state"], a["limit_value"]) for a in reader.alarms(1)] == [("pull", "cleared", 57.0)]
        assert [(g["start_s"] - START_S, g["end_s"] - START_S, g["why"]) for g in reader.gaps(1)] == [
            (199.0, 220.0, "lost")
        ]
        assert reader.load_state(1) == '{"phase": "bank"}'


def test_a_daemon_goes_on_where_it_stopped(old: Path) -> None:
    with Store(old) as store:
        assert store.mark_of("garden", "5eed0001") == 603
        assert store.boot_offset("garden", "5eed0001") == START_S - 0.04
        assert store.next_order_n("garden") == 2
        store.begin_cook("garden", "next year", None, START_S + 3.0e7)


def test_opened_by_this_release_it_has_the_tables_of_a_new_one(old: Path, path: Path) -> None:
    Store(old).close()
    Store(path).close()
    assert _schema(old) == _schema(path)


def test_its_figures_are_what_they_were(old: Path) -> None:
    with Reader(old) as reader:
        figures = figures_of(reader, 1)
        assert figures["lid_lifts"][0]["open_s"] == 30.0
        assert figures["pieces"][0]["pulled_c"] == 59.25
        assert figures["record"]["missing_s"] == 21.0
        assert "Two chops" in summary_text(figures)
        assert sum(1 for _ in "".join(chunks_of(reader, 1, "csv")).splitlines()) == 581
