"""Gaps are named, never filled."""

from __future__ import annotations

from emberdraft.store import Store
from tests.store.making import START_S, reading


def _gaps(store: Store, cook_id: int) -> list[tuple[float, float, str]]:
    return [(gap["start_s"] - START_S, gap["end_s"] - START_S, gap["why"]) for gap in store.gaps(cook_id)]


def test_no_gap_in_a_whole_record(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(n) for n in range(30)])
    assert _gaps(store, cook_id) == []


def test_records_the_board_dropped_are_a_lost_gap(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(n) for n in (0, 1, 20, 21)])
    assert _gaps(store, cook_id) == [(1.0, 20.0, "missing")]
    store.settle_lost("yard", "b1", 2, 19)
    assert _gaps(store, cook_id) == [(1.0, 20.0, "lost")]


def test_records_that_could_not_be_read_are_a_gap_of_their_own(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(n) for n in (0, 1, 20, 21)])
    bad = {"what": "reading", "arrived_s": START_S, "reason": "duty", "payload": b"{}"}
    store.add_raw("yard", "b1", [{"seq": seq, **bad} for seq in range(2, 20)])
    assert _gaps(store, cook_id) == [(1.0, 20.0, "unread")]


def test_a_new_start_of_the_board_is_a_reboot_gap(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(0), reading(1)])
    store.add_records("yard", "b2", [reading(0, at_s=START_S + 9.0), reading(1, at_s=START_S + 10.0)])
    assert _gaps(store, cook_id) == [(1.0, 9.0, "reboot")]


def test_silence_before_the_first_and_after_the_last_reading_is_a_gap_too(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S - 60.0)
    store.add_records("yard", "b1", [reading(n) for n in range(5)])
    assert _gaps(store, cook_id) == [(-60.0, 0.0, "missing")]
    store.end_cook(cook_id, START_S + 100.0, "person")
    assert _gaps(store, cook_id)[-1] == (4.0, 100.0, "missing")


def test_a_cook_without_readings_has_nothing_to_interrupt(store: Store) -> None:
    assert store.gaps(store.begin_cook("yard", "supper", None, START_S)) == []
