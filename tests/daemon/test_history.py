"""Rates and 'ten minutes ago' from the live readings."""

from __future__ import annotations

import pytest

from emberdraft.daemon.history import History


def filled(slope_per_s: float, seconds: int, gap: range = range(0)) -> History:
    history = History()
    for t in range(seconds):
        if t not in gap:
            history.add(float(t), {"pit_c": 100.0 + slope_per_s * t, "core_c": [None, 10.0 - slope_per_s * t]})
    return history


def test_a_straight_line_gives_its_slope_in_degrees_a_minute():
    history = filled(0.02, 300)
    assert history.rate_per_min("pit_c", 299.0) == pytest.approx(1.2)
    assert history.rate_per_min("core_c", 299.0, 1) == pytest.approx(-1.2)


def test_what_rises_again_after_a_lid_is_not_said_to_fall():
    """It fell by 30 in half a minute, and has risen by 30 in the 40 s since: over two minutes the line falls."""
    history = History()
    for t in range(180):
        pit_c = 120.0 - max(0, min(t - 110, 30)) + max(0.0, 0.75 * (t - 140))
        history.add(float(t), {"pit_c": pit_c})
    assert history.rate_per_min("pit_c", 179.0) == pytest.approx(45.0, abs=1.0)


def test_a_few_readings_that_differ_by_noise_have_no_pace_yet():
    """Nine in 40 s, three tenths up and down: the slope is 0.18 a minute and its standard error 0.25, by hand."""
    history = History()
    for k, off_c in enumerate((0.0, 0.3, 0.0, 0.3, 0.0, 0.3, 0.3, 0.0, 0.3)):
        history.add(5.0 * k, {"pit_c": 120.0 + off_c})
    assert history.rate_per_min("pit_c", 40.0) is None
    assert filled(0.05, 21).rate_per_min("pit_c", 20.0) is None
    assert filled(0.05, 46).rate_per_min("pit_c", 45.0) == pytest.approx(3.0)


def test_it_does_not_say_a_rate_before_it_can():
    assert filled(0.02, 12).rate_per_min("pit_c", 11.0) is None
    assert filled(0.02, 300).rate_per_min("core_c", 299.0, 0) is None
    assert filled(0.02, 300).rate_per_min("core_c", 299.0, 5) is None


def test_a_value_from_before_is_not_made_up_over_a_gap():
    history = filled(0.02, 800, gap=range(100, 250))
    assert history.value_before("pit_c", 799.0, 600.0) is None
    assert history.value_before("pit_c", 799.0, 300.0) == pytest.approx(110.0, abs=0.2)
