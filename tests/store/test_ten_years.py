"""Ten years of cooking: what a page asks of one cook costs as much as in the first week, the list grows by its lines.

Cost is counted in steps of SQLite's own machine (sqlite3_progress_handler), which no busy computer changes. Sixty
cooks a year are common practice, no source; each is a minute long here: what a longer one costs, its own tests say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.store import Store
from tests.store.making import START_S, reading

YEARS, COOKS_A_YEAR, ROWS = 10, 60, 60
APART_S = 365.25 * 86400.0 / COOKS_A_YEAR
MOST_BYTES = 400  # a reading in the file, its place in every index counted


def filled(path: Path, cooks: int) -> Store:
    """One cooker's record of so many cooks."""
    store = Store(path)
    for k in range(cooks):
        start_s = START_S + k * APART_S
        cook_id = store.begin_cook("yard", f"supper {k}", None, start_s)
        store.note_boot("yard", f"b{k}", start_s)
        store.add_records("yard", f"b{k}", [reading(i, boot=f"b{k}", at_s=start_s + i) for i in range(ROWS)])
        store.add_phase(cook_id, start_s, "slow", 121.0)
        store.add_mark(cook_id, start_s + 5.0, "note", None, "smoke")
        store.end_cook(cook_id, start_s + ROWS, "done")
    return store


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with filled(tmp_path_factory.mktemp("week") / "cooks.sqlite", 1) as store:
        yield store


@pytest.fixture(scope="module")
def decade(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with filled(tmp_path_factory.mktemp("decade") / "cooks.sqlite", YEARS * COOKS_A_YEAR) as store:
        yield store


def steps(store: Store, ask: Callable[[Store], Any]) -> int:
    """How many steps of its machine SQLite takes for a question."""
    taken = 0

    def one() -> int:
        nonlocal taken
        taken += 1
        return 0

    with store._pool.take() as db:
        db.set_progress_handler(one, 1)
    try:
        ask(store)
    finally:
        with store._pool.take() as db:
            db.set_progress_handler(None, 1)
    return taken


QUESTIONS: dict[str, Callable[[Store], Any]] = {
    "cook": lambda store: store.cook(1),
    "strip": lambda store: store.strip(1, points=1200),
    "readings": lambda store: store.readings(1),
    "phases": lambda store: store.phases(1),
    "marks": lambda store: store.marks(1),
    "events": lambda store: store.events(1),
    "alarms": lambda store: store.alarms(1),
    "gaps": lambda store: store.gaps(1),
    "open cook": lambda store: store.open_cook("yard"),
    "last reading": lambda store: store.last_reading("yard"),
}


@pytest.mark.parametrize("name", QUESTIONS)
def test_what_is_asked_of_one_cook_costs_what_it_cost_in_the_first_week(week: Store, decade: Store, name: str) -> None:
    first, now = (steps(store, QUESTIONS[name]) for store in (week, decade))
    assert first > 0
    assert now <= 1.5 * first + 20


def test_the_list_costs_a_little_for_each_of_its_lines(week: Store, decade: Store) -> None:
    assert len(decade.cooks()) == YEARS * COOKS_A_YEAR
    one = steps(week, lambda store: store.cooks())
    assert steps(decade, lambda store: store.cooks()) <= one * YEARS * COOKS_A_YEAR


def test_a_reading_takes_a_bounded_part_of_the_file(decade: Store) -> None:
    """So a cook of four hours is 6 MB at most, and ten years of them some 3.5 GB."""
    with decade._pool.take() as db:
        (pages,), (size,) = db.execute("PRAGMA page_count").fetchone(), db.execute("PRAGMA page_size").fetchone()
    assert pages * size / (YEARS * COOKS_A_YEAR * ROWS) < MOST_BYTES
