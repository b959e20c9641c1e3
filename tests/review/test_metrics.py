"""Figures of one trace, by hand and against the step response of python-control."""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest

from emberdraft.review import metrics

SECONDS = [0.0, 1.0, 2.0, 3.0, 4.0]


def test_a_reading_stands_until_the_next_but_one_second_before_a_gap() -> None:
    assert metrics.durations_s([0.0, 1.0, 3.0, 20.0, 21.5]) == [1.0, 2.0, 1.0, 1.5, 1.5]
    assert metrics.durations_s([7.0]) == [1.0]
    assert metrics.durations_s([]) == []


def test_the_mean_is_over_time_not_over_readings() -> None:
    # By hand: (10 * 1 + 20 * 2 + 40 * 2) / 5
    assert metrics.mean([0.0, 1.0, 3.0], [10.0, 20.0, 40.0]) == pytest.approx(26.0)


def test_a_missing_value_takes_no_part() -> None:
    assert metrics.mean(SECONDS, [1.0, None, 3.0, None, None]) == 2.0
    assert metrics.mean(SECONDS, [None] * 5) is None
    assert metrics.mean([], []) is None


def test_share_within_the_band_both_sides_and_its_edge() -> None:
    assert metrics.share_within(SECONDS, [-3.0, 3.0, 3.1, -3.1, None]) == 0.5


def test_overshoot_counts_from_the_first_reach_only() -> None:
    # A hot cooker that comes down to its target has not overshot it.
    assert metrics.overshoot_c(SECONDS, [40.0, 20.0, 2.0, -1.0, 0.5]) == 2.0
    assert metrics.overshoot_c(SECONDS, [-40.0, -2.0, -1.0, -1.0, -0.5]) == 0.0
    assert metrics.overshoot_c(SECONDS, [-40.0, -30.0, None, -9.0, -5.0]) is None


def test_what_never_reached_the_band_fell_short() -> None:
    assert metrics.shortfall_c(SECONDS, [-40.0, -9.0, None, -8.4, -20.0]) == 8.4
    assert metrics.shortfall_c(SECONDS, [-40.0, -2.0, -9.0, -9.0, -9.0]) is None
    assert metrics.shortfall_c(SECONDS, [None] * 5) is None


def test_rms_after_the_first_reach() -> None:
    # By hand: sqrt((3^2 + 4^2 + 0 + 0) / 4)
    assert metrics.rms_c(SECONDS, [-50.0, -3.0, 4.0, 0.0, 0.0]) == pytest.approx(2.5)
    assert metrics.rms_c(SECONDS, [-50.0] * 5) is None


def test_reaching_a_target_is_to_stay_there() -> None:
    t_s = [float(n) for n in range(1000)]
    in_band = {n for n in range(100, 390)} | set(range(400, 1000))
    errors = [0.0 if n in in_band else 10.0 for n in range(1000)]
    assert metrics.time_to_target_s(t_s, errors) == 400.0, "290 s in the band, then out again, is not there yet"


def test_a_later_lid_lift_does_not_undo_it() -> None:
    t_s = [float(n) for n in range(1000)]
    errors = [0.0 if 100 <= n < 500 else -40.0 for n in range(1000)]
    assert metrics.time_to_target_s(t_s, errors) == 100.0


def test_a_touch_at_the_very_end_is_not_a_reach() -> None:
    t_s = [float(n) for n in range(500)]
    assert metrics.time_to_target_s(t_s, [0.0 if n > 490 else 9.0 for n in range(500)]) is None
    assert metrics.time_to_target_s(t_s, [0.0 if n > 400 else 9.0 for n in range(500)]) == 401.0


def test_strokes_an_hour_by_hand() -> None:
    # Up by 1 and down by 1 is one stroke; it happens once in 4 of 3600 / 4 periods.
    t_s = [float(n) for n in range(3600)]
    duty = [(0.0, 0.5, 1.0, 0.5)[n % 4] for n in range(3600)]
    assert metrics.strokes_per_h(t_s, duty) == pytest.approx(900.0, rel=1e-3)
    assert metrics.strokes_per_h(t_s, [0.4] * 3600) == 0.0
    assert metrics.strokes_per_h([0.0], [0.4]) is None


@pytest.mark.parametrize("damping", [0.2, 0.4, 0.6])
def test_overshoot_and_settling_equal_the_textbook_and_python_control(damping: float) -> None:
    """A step of 100 degC, so that 3 degC is a band of 3 %: the settling time of step_info (python-control 0.10).

    The overshoot of a second-order system is exp(-pi z / sqrt(1 - z^2)) (any textbook; Ogata, Modern Control
    Engineering, 5.3).
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import control

    omega = 2.0 * math.pi / 120.0
    response = control.tf([omega**2], [1.0, 2.0 * damping * omega, omega**2])
    t_s = np.arange(0.0, 1500.0, 1.0)
    _, y = control.step_response(response, t_s)
    info = control.step_info(y, t_s, yfinal=1.0, SettlingTimeThreshold=0.03)
    errors = [100.0 * float(value) - 100.0 for value in y]
    reached_s = metrics.time_to_target_s(list(t_s), errors)
    assert reached_s == pytest.approx(info["SettlingTime"], abs=1.0)
    overshoot = metrics.overshoot_c(list(t_s), errors)
    assert overshoot == pytest.approx(info["Overshoot"], abs=1e-6)
    exact = 100.0 * math.exp(-math.pi * damping / math.sqrt(1.0 - damping**2))
    assert overshoot == pytest.approx(exact, abs=0.05)
