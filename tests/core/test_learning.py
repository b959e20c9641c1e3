"""What may have caused a surprise besides the need, and how much less the need is learnt for it."""

from __future__ import annotations

import pytest

from emberboard.core import learning
from emberboard.core.hold import Hold
from emberboard.core.limiter import LOW
from emberboard.core.observer import Observer


def seen(x1: float, x2: float) -> Observer:
    see = Observer()
    see.start(121.0, 0.1)
    see.x1, see.x2 = x1, x2
    return see


def test_a_fire_that_is_where_its_air_is_teaches_at_full_speed_whatever_the_trust():
    assert learning.later(seen(0.1, 0.1), 0.1, 0.1, False, False) == pytest.approx(1.0)


@pytest.mark.parametrize("see", [seen(0.15, 0.1), seen(0.1, 0.15), seen(0.1, 0.05)])
def test_a_fire_a_twentieth_from_its_air_teaches_half_where_it_is_not_trusted(see: Observer):
    assert learning.later(see, 0.1, 0.0, False, False) == pytest.approx(0.5)
    assert learning.later(see, 0.1, 1.0, False, False) == pytest.approx(1.0)


def test_too_hot_with_no_air_left_to_take_is_learnt_four_times_as_fast():
    far = seen(0.9, 0.9)
    assert learning.later(far, 0.0, 1.0, True, True) == 4.0
    assert learning.later(far, 0.0, 0.5, True, False) == 4.0
    assert learning.later(far, 0.0, 1.0, True, False) == pytest.approx(1.0)


def test_before_the_first_hold_as_far_as_the_observer_is_trusted():
    assert [learning.before_first(trust) for trust in (0.0, 0.5, 1.0)] == [1.0, 2.5, 4.0]


def test_the_damper_counts_a_quarter_where_the_draught_alone_holds():
    assert [learning.draughty(need) for need in (0.1, 0.0, -0.02, -0.04, LOW)] == [1.0, 1.0, 0.625, 0.25, 0.25]


def rising(held_once: bool, trust: float = 1.0) -> float:
    """The weight on the way up from 107 to 135 degC."""
    hold = Hold()
    hold.wake(107.0)
    hold.held_once, hold.trust.value = held_once, trust
    return hold._learning(135.0, -28.0)


def test_on_the_way_up_to_a_higher_target_the_gain_is_what_is_seen_and_not_the_need():
    assert rising(held_once=True) == pytest.approx(0.1)
    assert rising(held_once=False) == pytest.approx(4.0)


@pytest.mark.parametrize(("scale", "share"), [(1.0, 1.0), (2.0, 0.125)])
def test_a_slow_cooker_keeps_its_heat_on_no_fire_and_is_given_longer(scale: float, share: float):
    see = seen(-0.1, -0.1)
    see.set_scale(scale)
    need = see.need
    learning.draught(see, -1.1, 0.0, 5.0)
    usual = seen(-0.1, -0.1)
    learning.draught(usual, -1.1, 0.0, 5.0)
    assert need - see.need == pytest.approx(share * (need - usual.need))
    assert usual.need < need


@pytest.mark.parametrize(("short_c", "slope_cps", "fire"), [(-0.9, 0.0, -0.1), (-1.1, -0.03, -0.1), (-1.1, 0.0, 0.9)])
def test_only_a_pit_that_is_hot_does_not_fall_and_has_less_fire_than_need(
    short_c: float, slope_cps: float, fire: float
):
    see = seen(fire, fire)
    need = see.need
    learning.draught(see, short_c, slope_cps, 5.0)
    assert see.need == need
