"""The geometry of the printed strip."""

from __future__ import annotations

import datetime
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from emberdraft.review import canvas
from emberdraft.review.canvas import TimeScale, ValueScale
from tests.review.making import START_S


def test_a_path_breaks_at_a_gap() -> None:
    assert canvas.path([(0.0, 1.0), (1.0, 2.0), (2.0, None), (3.0, 4.0)]) == "M0.0 1.0L1.0 2.0M3.0 4.0"
    assert canvas.path([(0.0, None)]) == ""


def test_steps_keep_a_value_until_the_next() -> None:
    assert canvas.steps([(10.0, 5.0), (20.0, 7.0)], 90.0) == "M10.0 5.0H20.0V7.0H90.0"
    assert canvas.steps([], 90.0) == ""


def test_values_outside_are_kept_inside() -> None:
    scale = ValueScale(0.0, 100.0, (40.0, 240.0))
    assert [scale.y(value) for value in (0.0, 50.0, 100.0, 130.0, -9.0)] == [240.0, 140.0, 40.0, 40.0, 240.0]


def test_ticks_are_round_moments_of_the_clock_and_far_enough_apart() -> None:
    scale = TimeScale(START_S, START_S + 3 * 3600.0)  # 20:26:40 to 23:26:40
    said = [datetime.datetime.fromtimestamp(at_s, datetime.UTC).strftime("%H:%M:%S") for at_s in scale.ticks()]
    assert said[:3] == ["20:30:00", "20:45:00", "21:00:00"]
    assert scale.x(scale.ticks()[1]) - scale.x(scale.ticks()[0]) >= canvas.LEAST_TICK_PX


def test_the_temperature_lane_ends_at_the_next_fifty() -> None:
    assert canvas.temperature_scale(283.0).high == 300.0
    assert canvas.temperature_scale(20.0).high == 100.0
    assert canvas.temperature_ticks(canvas.temperature_scale(283.0)) == [50.0 * k for k in range(7)]


@given(st.lists(st.floats(0.0, 1000.0), max_size=40))
def test_labels_are_pushed_apart_in_their_order(places: list[float]) -> None:
    moved = canvas.apart(places, 19.0, 0.0, 1000.0)
    assert all(-1e-6 <= place <= 1000.0 + 1e-6 for place in moved)
    order = sorted(range(len(places)), key=lambda k: places[k])
    assert all(moved[b] - moved[a] >= 19.0 - 1e-6 for a, b in pairwise(order))


def test_labels_with_room_stay_where_they_are() -> None:
    assert canvas.apart([10.0, 500.0, 100.0], 19.0, 0.0, 1000.0) == [10.0, 500.0, 100.0]
