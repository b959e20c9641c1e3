"""What is learnt from the first answer, the cut at the end of full air, and overshoots."""

from __future__ import annotations

import math

import pytest

from emberboard.core.limiter import LOW
from emberboard.core.observer import NEED_HIGH, NEED_LOW, Observer
from emberboard.core.timescale import LEARN_MOST, TimeScale
from emberboard.core.trust import QUICK, Trust


def swung(half_c: float, period_s: float = 180.0) -> Trust:
    trust = Trust()
    trust.watch()
    for i in range(240):
        trust.step(half_c * math.sin(2.0 * math.pi * 5.0 * i / period_s), False, 5.0)
    return trust


def test_a_disturbance_of_a_twentieth_of_the_air_leaves_all_trust():
    trust = swung(0.05)
    assert (trust.value, trust.quick) == (pytest.approx(1.0, abs=0.001), pytest.approx(1.0, abs=0.001))


def test_at_the_cut_some_is_held_back_and_given_within_minutes():
    trust = Trust()
    trust.watch()
    values = []
    for _ in range(120):
        trust.step(0.0, False, 5.0)
        values.append(trust.value)
    assert values[0] == pytest.approx(1.0 / (1.0 + 8.0 * 0.05), abs=0.02)
    assert values == sorted(values)
    assert values[60] > 0.85
    assert values[-1] > 0.97


def test_the_wider_the_disturbance_swings_the_less_is_the_observer_trusted():
    values = [swung(half).value for half in (0.1, 0.2, 0.4)]
    assert values == sorted(values, reverse=True)
    assert values[0] < 1.0
    assert values[-1] < 0.2
    assert QUICK < swung(0.4).quick < swung(0.1).quick < 1.0


def once(m: float) -> Trust:
    """The cut, and a minute of one disturbance; long after the doubt of the cut itself."""
    trust = Trust()
    trust.watch()
    for i in range(240):
        trust.step(m if 200 <= i < 212 else 0.0, False, 5.0)
    return trust


def test_heat_that_no_fire_explains_takes_more_trust_than_heat_that_is_missing():
    """A fifth of the air: missing it takes nothing, unexplained about half; twice as much missing about a third."""
    assert once(0.2).value == pytest.approx(1.0, abs=0.01)
    assert 0.4 < once(-0.2).value < 0.6 < once(0.4).value < 0.75


def test_the_lags_are_shortened_more_steeply_than_the_gains_and_never_to_nothing():
    mild, hard, broken = (once(m) for m in (-0.15, -0.3, -5.0))
    assert mild.value > hard.value > broken.value > 0.0
    assert 1.0 > mild.quick > hard.quick > broken.quick >= QUICK > 0.2
    for trust in (mild, hard):
        assert (trust.quick - QUICK) / (1.0 - QUICK) < trust.value


def test_with_another_fire_half_of_the_doubt_is_left():
    trust = once(-0.3)
    doubt = 1.0 / trust.value - 1.0
    trust.watch()
    for _ in range(240):  # by when the doubt of the new cut itself is gone
        trust.step(0.0, False, 5.0)
    assert 1.0 / trust.value - 1.0 == pytest.approx(doubt / 2.0, rel=0.01)


def test_what_comes_long_after_the_arrival_is_weather_and_takes_no_trust():
    trust = Trust()
    trust.watch()
    for _ in range(200):
        trust.step(0.0, True, 5.0)
    before = trust.value
    trust.step(0.5, True, 5.0)
    assert trust.value == before == pytest.approx(1.0, abs=0.01)


def test_without_a_cut_nothing_is_judged():
    trust = Trust()
    trust.step(1.0, False, 5.0)
    assert trust.value == 1.0


@pytest.mark.parametrize("need", [NEED_LOW, 0.0004, 0.004, NEED_HIGH])
def test_a_hotter_target_never_takes_less_air_and_none_takes_less_than_none(need: float):
    see = Observer()
    see.need = need
    airs = [see.hold_air(target_c) for target_c in (60.0, 107.0, 135.0, 260.0)]
    assert airs == sorted(airs)
    assert airs[0] >= LOW


def test_the_need_scales_with_the_gain_only_until_a_hold_has_taught_it():
    for settled in (False, True):
        see = Observer()
        see.settled = settled
        see.start(100.0, 2.0)
        before = see.need
        see.learn_gain(0.8)
        assert see.k > 0.06
        assert (see.need == before) == settled


def test_a_late_first_answer_sets_the_scale_and_the_coast_keeps_to_it():
    slow = TimeScale(Observer())
    slow.start(20.0)
    slow.answer(23.0, 300.0)
    assert slow.see.scale == 1.0
    slow.answer(24.5, 330.0)
    assert slow.see.scale == pytest.approx(1.5)
    for over_c in range(3, 40):
        slow.overshot(float(over_c))
    assert slow.see.scale == LEARN_MOST
    assert slow.coast == pytest.approx(1.5)


def test_without_a_cold_start_the_coast_goes_by_the_overshoots():
    slow = TimeScale(Observer())
    slow.start(None)
    slow.overshot(3.0)
    assert slow.coast == slow.see.scale == pytest.approx(1.08)


def test_an_overshoot_takes_nothing_from_a_scale_that_the_first_answer_set():
    """Ten and a half minutes to answer at all is slower than overshoots may ever teach: one of these is no quicker."""
    slow = TimeScale(Observer())
    slow.start(20.0)
    slow.answer(24.5, 630.0)
    before = slow.see.scale
    assert before > LEARN_MOST
    slow.overshot(5.0)
    assert slow.see.scale == before
