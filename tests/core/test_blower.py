"""The motor gets a kick, never runs below its lowest duty, and gives the wanted air on average."""

from __future__ import annotations

import itertools

import pytest

from emberboard.core.blower import Blower


@pytest.mark.parametrize("duty", [0.01, 0.03, 0.05, 0.08])
def test_below_the_lowest_duty_air_comes_in_portions_of_the_right_mean(duty: float):
    blower = Blower(kick=0.1)
    drives = [blower.step(duty, 1.0) for _ in range(900)]
    assert {0.0, 0.1} == set(drives)
    assert sum(drives) / len(drives) == pytest.approx(duty, abs=0.1 / 90)


def test_a_standing_motor_gets_one_kick():
    blower = Blower()
    assert blower.step(0.12, 1.0) == blower.kick
    assert blower.step(0.12, 1.0) == pytest.approx(0.12)


def test_rising_is_slew_limited_and_stopping_is_not():
    blower = Blower()
    drives = [blower.step(1.0, 1.0) for _ in range(8)]
    assert max(b - a for a, b in itertools.pairwise(drives)) <= blower.slew_per_s + 1e-9
    assert drives[-1] == 1.0
    assert blower.stop() == 0.0


def test_nothing_wanted_is_nothing_given():
    blower = Blower()
    assert [blower.step(0.0, 1.0) for _ in range(200)] == [0.0] * 200
