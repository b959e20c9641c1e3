"""Two cooks whose times overlap, because the clock went back between them, keep their own readings.

A demonstration at sixty times real time records hours in minutes; the next one begins in the middle of them.
"""

from __future__ import annotations

from typing import Any

from emberdraft.store import Store
from tests.store.making import START_S, event, reading


def _rows(first: float, count: int, pit_c: float) -> list[dict[str, Any]]:
    rows = [reading(k, at_s=START_S + first + k, pit_c=pit_c) for k in range(count)]
    return [*rows, event(count, at_s=START_S + first + count / 2.0, text=str(pit_c))]


def _cook(store: Store, name: str, boot: str, first: float, count: int, pit_c: float, heard_first: bool) -> int:
    if heard_first:
        store.note_boot("demo", boot, START_S + first)
    cook_id = store.begin_cook("demo", name, None, START_S + first)
    store.add_records("demo", boot, _rows(first, count, pit_c))
    store.end_cook(cook_id, START_S + first + count, "plan")
    return cook_id


def _pit_c(store: Store, cook_id: int) -> set[float]:
    strip = store.strip(cook_id, points=50)
    drawn = {value for value in strip["pit_c"] if value is not None}
    assert drawn == set(store.readings(cook_id)["pit_c"]) == {float(e["text"]) for e in store.events(cook_id)}
    assert [gap["why"] for gap in store.gaps(cook_id)] == []
    return drawn


def test_a_second_demonstration_in_the_middle_of_the_first_ones_time(store: Store) -> None:
    first = _cook(store, "one", "b1", 0.0, 900, 110.0, heard_first=True)
    second = _cook(store, "two", "b2", 30.0, 900, 120.0, heard_first=True)
    third = _cook(store, "three", "b3", 60.0, 900, 130.0, heard_first=True)
    assert [_pit_c(store, cook) for cook in (first, second, third)] == [{110.0}, {120.0}, {130.0}]


def test_also_when_the_new_board_is_not_heard_before_the_cook_begins(store: Store) -> None:
    first = _cook(store, "one", "b1", 0.0, 1200, 110.0, heard_first=False)
    second = _cook(store, "two", "b2", 30.0, 1200, 120.0, heard_first=False)
    assert [_pit_c(store, cook) for cook in (first, second)] == [{110.0}, {120.0}]


def test_the_last_reading_is_of_the_board_that_runs_now(store: Store) -> None:
    _cook(store, "one", "b1", 0.0, 900, 110.0, heard_first=True)
    _cook(store, "two", "b2", 30.0, 200, 120.0, heard_first=True)
    newest = store.last_reading("demo")
    assert newest is not None and newest["pit_c"] == 120.0


def test_on_one_time_line_a_late_boot_still_counts(store: Store) -> None:
    """The board restarted while the host was away: the new boot is first heard after the cook was ended."""
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(k) for k in range(100)])
    store.end_cook(cook_id, START_S + 300.0, "person")
    store.add_records("yard", "b2", [reading(k, at_s=START_S + 150.0 + k, late=True) for k in range(100)])
    assert len(store.readings(cook_id)["seq"]) == 200
    store.begin_cook("yard", "dessert", None, START_S + 400.0)
    assert len(store.readings(cook_id)["seq"]) == 200


def test_a_running_board_that_is_a_little_ahead_keeps_its_time_line(store: Store) -> None:
    store.add_records("yard", "b1", [reading(k) for k in range(100)])
    cook_id = store.begin_cook("yard", "supper", None, START_S + 50.0)
    assert len(store.readings(cook_id)["seq"]) == 50


def test_other_cookers_have_their_own_time(store: Store) -> None:
    _cook(store, "one", "b1", 0.0, 900, 110.0, heard_first=True)
    other = store.begin_cook("yard", "supper", None, START_S + 30.0)
    store.add_records("yard", "b1", [reading(k, at_s=START_S + 30.0 + k) for k in range(10)])
    row = store.cook(other)
    assert row is not None and row["first_boot"] == 0
    assert len(store.readings(other)["seq"]) == 10
