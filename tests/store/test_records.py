"""A repeat is harmless, and the mark never passes a record that is neither stored nor settled."""

from __future__ import annotations

import math
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from emberdraft.store import Store
from tests.store.making import START_S, event, reading


def test_a_repeat_adds_nothing(store: Store) -> None:
    rows = [reading(0), event(1), reading(2)]
    assert store.add_records("yard", "b1", rows) == 3
    assert store.add_records("yard", "b1", rows) == 0
    assert store.counts()["reading"] == 2


def test_a_repeat_keeps_the_first_row_even_with_another_time(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(0)])
    store.add_records("yard", "b1", [reading(0, at_s=START_S + 9.0, pit_c=99.0)])
    kept = store.readings(cook_id)
    assert (kept["at_s"], kept["pit_c"]) == ([START_S], [120.5])


def test_two_boots_and_two_cookers_do_not_mix(store: Store) -> None:
    for cooker, boot in (("yard", "b1"), ("yard", "b2"), ("shed", "b1")):
        assert store.add_records(cooker, boot, [reading(0)]) == 1
    assert store.mark_of("shed", "b1") == 1
    assert store.mark_of("shed", "b2") == 0


def test_a_batch_is_all_or_nothing(store: Store) -> None:
    with pytest.raises(ValueError, match="5 food probes"):
        store.add_records("yard", "b1", [reading(0), reading(1, core_c=[20.0] * 5)])
    assert store.counts()["reading"] == 0
    assert store.mark_of("yard", "b1") == 0


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"pit_c": "hot"}, "REAL"),
        ({"pit_c": math.inf}, "infinite"),
        ({"seq": 2**70}, "too large"),
        ({"seq": 1.5}, "INTEGER"),
        ({"duty": [0.2]}, "not supported"),
        ({"at_s": math.nan}, "NOT NULL"),
    ],
)
def test_a_record_that_can_never_be_stored_is_named(store: Store, wrong: dict[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=f"of yard, boot b1, cannot be stored: .*{said}"):
        store.add_records("yard", "b1", [reading(0) | wrong])
    assert store.counts()["reading"] == 0


def test_a_record_without_its_time_is_named(store: Store) -> None:
    timeless = {name: value for name, value in reading(0).items() if name != "at_s"}
    with pytest.raises(ValueError, match="'at_s' is missing"):
        store.add_records("yard", "b1", [timeless])


def test_the_mark_stops_at_a_hole_and_goes_on_when_it_is_filled(store: Store) -> None:
    store.add_records("yard", "b1", [reading(0), reading(1), reading(3)])
    assert store.mark_of("yard", "b1") == 2
    store.add_records("yard", "b1", [event(2)])
    assert store.mark_of("yard", "b1") == 4


def test_lost_records_count_as_settled(store: Store) -> None:
    store.add_records("yard", "b1", [reading(0), reading(10)])
    store.settle_lost("yard", "b1", 1, 6)
    assert store.mark_of("yard", "b1") == 7
    store.settle_lost("yard", "b1", 5, 9)
    assert store.mark_of("yard", "b1") == 11


def test_an_empty_store_begins_at_the_oldest_the_board_holds(store: Store) -> None:
    store.begin_boot_at("yard", "b1", 40)
    assert store.mark_of("yard", "b1") == 40
    store.begin_boot_at("yard", "b1", 60)
    assert store.mark_of("yard", "b1") == 40, "a beginning is taken once; later losses are announced"


def test_a_beginning_told_after_the_first_rows_still_counts(store: Store) -> None:
    store.add_records("yard", "b1", [reading(41), reading(40)])
    store.begin_boot_at("yard", "b1", 40)
    assert store.mark_of("yard", "b1") == 42


def test_the_mark_is_kept_over_a_restart(path: Path) -> None:
    with Store(path) as store:
        store.add_records("yard", "b1", [reading(0), reading(1)])
        store.settle_lost("yard", "b1", 2, 4)
    with Store(path) as store:
        assert store.mark_of("yard", "b1") == 5


def test_where_board_time_lies_on_the_clock(store: Store) -> None:
    assert store.boot_offset("yard", "b1") is None
    store.note_boot("yard", "b1", START_S)
    store.note_boot("yard", "b1", START_S + 0.25)
    assert store.boot_offset("yard", "b1") == START_S + 0.25


arrivals = st.lists(
    st.one_of(
        st.tuples(st.just("rows"), st.lists(st.integers(0, 25), max_size=6)),
        st.tuples(st.just("lost"), st.lists(st.integers(0, 25), min_size=2, max_size=2).map(sorted)),
    ),
    max_size=14,
)


def _rows(numbers: list[int]) -> list[dict[str, Any]]:
    return [event(n) if n % 3 == 0 else reading(n) for n in numbers]


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """One store for all examples: each example is a boot of its own in it."""
    with Store(tmp_path_factory.mktemp("shared") / "cooks.sqlite") as store:
        yield store


@settings(max_examples=100, deadline=None)
@given(oldest=st.integers(0, 8), arrived=arrivals)
def test_whatever_arrives_the_mark_is_the_first_unsettled_and_each_row_is_there_once(
    shared: Store, oldest: int, arrived: list[tuple[str, list[int]]]
) -> None:
    """The reference is a plain set of numbers."""
    boot = uuid.uuid4().hex
    stored: set[int] = set()
    settled = set(range(oldest))
    shared.begin_boot_at("yard", boot, oldest)
    for what, numbers in arrived:
        if what == "rows":
            assert shared.add_records("yard", boot, _rows(numbers)) == len(set(numbers) - stored)
            stored |= set(numbers)
        else:
            shared.settle_lost("yard", boot, numbers[0], numbers[1])
            settled |= set(range(numbers[0], numbers[1] + 1))
        assert shared.mark_of("yard", boot) == next(n for n in range(100) if n not in stored | settled)


def test_a_loss_told_again_with_less_stays_as_long_as_it_was(store: Store) -> None:
    """A repeat that was under way while the board lost more comes after the longer one: that brings no row back."""
    for last in (6, 3):
        store.settle_lost("yard", "b1", 1, last)
    store.add_records("yard", "b1", [reading(0), reading(7)])
    assert store.mark_of("yard", "b1") == 8
