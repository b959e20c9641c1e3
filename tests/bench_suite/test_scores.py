"""The scores on traces small enough to be checked by hand."""

from __future__ import annotations

import math

import pytest

from emberdraft.bench import scores

T_S = [1.0, 2.0, 3.0, 4.0, 5.0]
TARGET = [100.0] * 5


def test_window_is_half_open() -> None:
    assert scores.window(T_S, 2.0, 4.0) == (1, 3)
    assert scores.window(T_S, 2.5) == (2, 5)


def test_first_within_takes_the_bands_edge() -> None:
    assert scores.first_within([90.0, 96.9, 97.0, 99.0, 100.0], TARGET, (0, 5)) == 2
    assert scores.first_within([90.0] * 5, TARGET, (0, 5)) is None


def test_settled_counts_from_the_last_time_outside() -> None:
    """In at 2 s, out at 3 s, in from 4 s: settled 3 s after the first row."""
    assert scores.settled_s(T_S, [90.0, 100.0, 104.0, 100.0, 101.0], TARGET, (0, 5)) == 3.0


def test_settled_is_never_when_it_ends_outside_and_nothing_when_always_inside() -> None:
    assert scores.settled_s(T_S, [100.0, 100.0, 100.0, 100.0, 104.0], TARGET, (0, 5)) is None
    assert scores.settled_s(T_S, [100.0] * 5, TARGET, (0, 5)) == 0.0


def test_above_ignores_what_is_below() -> None:
    assert scores.above_c([90.0, 103.0, 101.0, 95.0, 99.0], TARGET, (0, 5)) == 3.0
    assert scores.above_c([90.0] * 5, TARGET, (0, 5)) == 0.0


def test_rms_of_three_and_four_is_the_root_of_twelve_and_a_half() -> None:
    assert scores.rms_c([103.0, 96.0], TARGET, (0, 2)) == pytest.approx(math.sqrt(12.5))
    assert scores.rms_c([], [], (0, 0)) is None


def test_share_within_counts_rows() -> None:
    assert scores.share_within([100.0, 102.8, 103.0, 97.2, 97.0], TARGET, (0, 5)) == pytest.approx(3 / 5)


def test_iae_weighs_each_row_with_its_time() -> None:
    """2 degC for 1 s, 3 degC for 4 s: 14 degC s."""
    assert scores.iae_cs([1.0, 5.0], [98.0, 103.0], [100.0, 100.0]) == pytest.approx(14.0)


def test_a_blower_that_goes_up_and_down_once_a_minute_makes_120_strokes_an_hour() -> None:
    t_s = [30.0 * i for i in range(121)]
    air = [float(i % 2) for i in range(121)]
    assert scores.strokes_per_hour(t_s, air, (0, 121)) == pytest.approx(120.0)


def test_charcoal_an_hour() -> None:
    """0.1 kg in half an hour is 0.2 kg an hour."""
    assert scores.burnt_kg_per_hour([0.0, 1800.0], [1.0, 0.9], (0, 2)) == pytest.approx(0.2)


def test_alarms_before_and_after_a_moment() -> None:
    alarms = [(10.0, "early"), (70.0, "late")]
    assert scores.first_alarm(alarms, 60.0) == (10.0, "late")
    assert scores.first_alarm(alarms, 80.0) is None
    assert scores.count_before(alarms, 60.0) == 1


def test_last_air_and_left_for_good() -> None:
    assert scores.last_above_s(T_S, [1.0, 0.5, 0.0, 0.2, 0.0], (0, 5)) == 4.0
    assert scores.left_for_good_s(T_S, [100.0, 80.0, 95.0, 85.0, 84.0], TARGET, 10.0) == 4.0
    assert scores.left_for_good_s(T_S, [80.0, 80.0, 80.0, 80.0, 91.0], TARGET, 10.0) is None
