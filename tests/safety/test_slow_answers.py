"""A fire that answers late is no lost one, and a quiet probe that is frozen under full air is no fire at its limit."""

from __future__ import annotations

from collections import deque

import pytest

from tests.core.cooker import Cooker, Run

DEAD_S = 300
RISE_C = 30.0
WITHIN_S = 360.0


class Late(Cooker):
    """Its fire meets the air five minutes late; an open top vent draws cold air past it meanwhile."""

    def __init__(self, pit_c: float, fire: float, dead_s: int = DEAD_S, cools_w: float = 0.0) -> None:
        super().__init__(pit_c, fire)
        self.held = deque([(0.05, 1.0)] * dead_s)
        self.cools_w = cools_w

    def step(self, blower: float, opening: float, dt_s: float = 1.0) -> None:
        self.held.append((blower, opening))
        self.pit_c -= self.cools_w * blower * (self.pit_c - 20.0) / 6000.0 * dt_s
        super().step(*self.held.popleft(), dt_s)


def climb(cooker: Cooker, before_s: int = 1200) -> Run:
    """A warm cooker, then full air with the top vent open."""
    run = Run(cooker).hold(121.0).seconds(before_s)
    run.order("vent", vent="top", opening=1.0)
    assert run.order("mode", mode="drive", phase="climb", stone_c=300.0, at_cooker=True) == ("", "")
    return run


@pytest.mark.parametrize("dead_s", [0, 60, 180, DEAD_S])
@pytest.mark.parametrize("cools_w", [0.0, 6.0])
def test_a_climb_that_is_answered_late_is_no_lost_fire(dead_s: int, cools_w: float):
    run = climb(Late(121.0, 0.09, dead_s, cools_w), 30)
    highest_c = lowest_c = run.cooker.pit_c
    for _ in range(1800):
        run.seconds(1)
        highest_c, lowest_c = max(highest_c, run.cooker.pit_c), min(lowest_c, run.cooker.pit_c)
        assert run.controller.alerts == {}
    assert highest_c > lowest_c + 40.0, "it was lit, and rose"


def test_a_pit_that_only_falls_under_full_air_is_a_lost_fire_twelve_minutes_after_it_is_armed():
    run = Run(Cooker(120.0, 0.1)).hold(118.0).seconds(900)
    run.order("vent", vent="top", opening=1.0)
    run.order("mode", mode="drive", phase="climb", stone_c=300.0, at_cooker=True)
    pit_c = 120.0
    for k in range(40 * 60):
        pit_c -= 1.0 / 60.0
        run.seconds(1, pit_c=round(pit_c * 4.0) / 4.0, stone_c=100.0)
        if "not_answering" in run.controller.latched():
            assert k == pytest.approx(600 + 720, abs=60)
            return
    raise AssertionError("never told")


@pytest.mark.parametrize("falls_s", [300, 600])
def test_a_pit_that_rises_again_in_time_goes_on_to_its_sear(falls_s: int):
    run = Run(Cooker(120.0, 0.1)).hold(118.0).seconds(900)
    run.order("vent", vent="top", opening=1.0)
    run.order("mode", mode="drive", phase="climb", stone_c=300.0, at_cooker=True)
    pit_c = 120.0
    for k in range(45 * 60):
        pit_c += (-20.0 / falls_s) if k < 600 + falls_s and k >= 600 else (2.0 / 60.0 if k >= 600 else 0.0)
        run.seconds(1, pit_c=round(pit_c * 4.0) / 4.0 + 0.25 * (k % 90 == 0), stone_c=100.0)
    assert run.controller.latched() == []


@pytest.mark.parametrize("at_c", [60.0, 150.0, 250.0])
def test_a_quiet_probe_frozen_in_the_climb_is_told_before_the_true_pit_is_much_hotter(at_c: float):
    """The same number to the last digit: true pit and probe part, and the air ends with a pause."""
    cooker = Cooker(at_c - 15.0, 0.2)
    run = climb(cooker, 30)
    while cooker.pit_c < at_c:
        run.seconds(1, stone_c=60.0)
    frozen_c, since_s = run.inputs.pit_c, None
    for k in range(3600):
        run.seconds(1, pit_c=frozen_c, stone_c=60.0)
        if since_s is None and cooker.pit_c >= at_c + RISE_C:
            since_s = k
        if "pit_sensor" in run.controller.alerts:
            assert run.out.drive == 0.0
            assert k - (k if since_s is None else since_s) <= WITHIN_S
            return
    raise AssertionError("never told")


def test_a_pit_that_stands_for_five_minutes_of_dead_time_is_not_called_frozen():
    run = climb(Cooker(121.0, 0.05), 600)
    stood_c = run.inputs.pit_c
    run.seconds(DEAD_S + 60, pit_c=stood_c, stone_c=60.0)
    for k in range(600):
        run.seconds(1, pit_c=stood_c + 0.25 * (k // 5), stone_c=60.0)
    assert "pit_sensor" not in run.controller.alerts
