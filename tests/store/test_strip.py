"""Thinned for drawing: every peak kept, every gap a gap, raw rows when there is room for them."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from emberdraft.store import Store
from emberdraft.store.slices import SLICE_S
from emberdraft.store.strip import TRACES, _from_buckets, _raw
from tests.store.making import START_S, reading


def _recorded(store: Store, rows: list[dict[str, object]]) -> int:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", rows)
    return cook_id


def test_few_rows_are_given_as_they_are(store: Store) -> None:
    cook_id = _recorded(store, [reading(n, pit_c=100.0 + n) for n in range(50)])
    drawn = store.strip(cook_id, START_S, START_S + 49.0, 50)
    assert drawn["t"] == [START_S + n for n in range(50)]
    assert drawn["pit_c"] == [100.0 + n for n in range(50)]
    assert set(drawn) == {"t", *TRACES}


def test_a_raw_gap_holds_one_row_of_nulls(store: Store) -> None:
    cook_id = _recorded(store, [reading(n) for n in (0, 1, 2, 12, 13)])
    drawn = store.strip(cook_id)
    assert drawn["t"] == [START_S + n for n in (0, 1, 2, 7, 12, 13)]
    assert drawn["pit_c"][3] is None and drawn["duty"][3] is None


def test_one_second_of_a_peak_is_seen_in_a_day_long_strip(store: Store) -> None:
    rows = [reading(n, pit_c=120.0) for n in range(4000)]
    rows[1234]["pit_c"], rows[3210]["pit_c"] = 171.5, 80.25
    cook_id = _recorded(store, rows)
    drawn = store.strip(cook_id, points=40)
    assert len(drawn["t"]) == 40
    assert max(drawn["pit_c"]) == 171.5
    assert min(drawn["pit_c"]) == 80.25
    bucket_s = 3999.0 / 20.0
    at_s = drawn["t"][drawn["pit_c"].index(171.5)]
    assert abs(at_s - (START_S + 1234)) < bucket_s


def test_the_last_reading_is_in_the_last_bucket(store: Store) -> None:
    rows = [reading(n, pit_c=120.0) for n in range(1001)]
    rows[1000]["pit_c"] = 150.0
    cook_id = _recorded(store, rows)
    drawn = store.strip(cook_id, START_S, START_S + 1000.0, 100)
    assert max(drawn["pit_c"][-2:]) == 150.0


def test_a_thinned_gap_is_nulls(store: Store) -> None:
    cook_id = _recorded(store, [reading(n) for n in range(1000) if not 400 <= n < 600])
    drawn = store.strip(cook_id, START_S, START_S + 1000.0, 100)
    gap = [value for t, value in zip(drawn["t"], drawn["pit_c"], strict=True) if START_S + 400 < t < START_S + 600]
    assert gap and set(gap) == {None}


def test_a_faulty_probe_is_nulls_while_the_others_go_on(store: Store) -> None:
    cook_id = _recorded(store, [reading(n, pit_c=None, pit_fault="open") for n in range(1000)])
    drawn = store.strip(cook_id, points=100)
    assert set(drawn["pit_c"]) == {None}
    assert set(drawn["stone_c"]) == {131.25}


def test_a_rise_is_drawn_as_a_rise_and_a_fall_as_a_fall(store: Store) -> None:
    rows = [reading(n, pit_c=float(n if n < 500 else 1000 - n)) for n in range(1000)]
    drawn = store.strip(_recorded(store, rows), points=100)["pit_c"]
    top = drawn.index(max(drawn))
    assert drawn[: top - 1] == sorted(drawn[: top - 1])
    assert drawn[top + 2 :] == sorted(drawn[top + 2 :], reverse=True)


def test_an_empty_cook_gives_empty_columns(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    assert store.strip(cook_id) == {name: [] for name in ("t", *TRACES)}
    assert _raw([]) == {name: [] for name in ("t", *TRACES)}


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.one_of(st.none(), st.floats(-50.0, 500.0)), min_size=1, max_size=200),
    st.integers(1, 30),
)
def test_extremes_are_the_same_before_and_after(values: list[float | None], buckets: int) -> None:
    """The reference takes lowest and highest over the whole trace."""
    bucket_s = len(values) / buckets
    by_bucket: dict[int, list[float]] = {}
    for at, value in enumerate(values):
        kept = by_bucket.setdefault(math.floor(at / bucket_s), [])
        kept += [] if value is None else [value]
    rows = [
        (bucket, *((min(kept, default=None), max(kept, default=None)) * len(TRACES)))
        for bucket, kept in sorted(by_bucket.items())
    ]
    drawn = [value for value in _from_buckets(rows, 0.0, bucket_s, buckets)["pit_c"] if value is not None]
    true = [value for value in values if value is not None]
    assert (min(drawn, default=None), max(drawn, default=None)) == (min(true, default=None), max(true, default=None))


def test_a_long_strip_ends_where_it_was_asked_to_in_the_middle_of_a_slice(store: Store) -> None:
    """A peak five seconds past the end of the stretch is no part of it, nor is one before its beginning."""
    slice_s = START_S - START_S % SLICE_S
    rows = [reading(n, pit_c=120.0) for n in range(10_100)]
    start_s, end_s = slice_s + 27.0, slice_s + 10_007.0
    for at_s, pit_c in ((start_s - 5.0, 250.0), (end_s + 5.0, 350.0)):
        rows[round(at_s - START_S)]["pit_c"] = pit_c
    drawn = store.strip(_recorded(store, rows), start_s, end_s, 100)
    assert {value for value in drawn["pit_c"] if value is not None} == {120.0}
