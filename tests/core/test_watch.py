"""The residual interlocks and the parts, at their boundaries, and the guard that keeps their times."""

from __future__ import annotations

import pytest

from emberboard.core import interlocks as ask
from tests.core.cooker import Cooker, Run


@pytest.mark.parametrize("asked", [0.32, 0.33, 0.34, 1.0])
@pytest.mark.parametrize("short", [5.0, 5.1])
@pytest.mark.parametrize("slope", [0.0009, 0.001])
def test_no_heat_for_far_more_air_than_usual(asked: float, short: float, slope: float):
    wanted = asked >= 1.4 * 0.2 + 0.05 and short > 5.0 and slope < 0.001
    assert ask.gives_no_heat(asked, 0.2, short, slope) == wanted


def test_little_air_is_never_far_more_than_usual():
    assert not ask.gives_no_heat(0.149, 0.02, 20.0, -0.1)
    assert ask.gives_no_heat(0.15, 0.02, 20.0, -0.1)


@pytest.mark.parametrize(("weak_s", "steady"), [(239.0, True), (240.0, True), (359.0, False), (360.0, False)])
def test_the_fire_is_weak_after_minutes(weak_s: float, steady: bool):
    assert ask.fire_is_weak(weak_s, steady) == (weak_s >= (240.0 if steady else 360.0))


@pytest.mark.parametrize(("since", "fallen", "rise"), [(299.0, 9.0, -1.0), (300.0, 8.0, -1.0), (300.0, 7.9, -1.0)])
def test_the_fire_is_lost_on_a_second_sign(since: float, fallen: float, rise: float):
    assert ask.fire_is_lost(since, fallen, rise) == (since >= 300.0 and fallen >= 8.0)
    assert not ask.fire_is_lost(since, fallen, 0.0)


@pytest.mark.parametrize("air", [0.0, 0.01])
@pytest.mark.parametrize("fire", [0.2, 0.21])
@pytest.mark.parametrize("usual", [0.2, 0.049])
@pytest.mark.parametrize(("over", "slope"), [(3.4, 0.0), (3.5, -0.004), (3.5, -0.005)])
def test_it_heats_by_itself(air: float, fire: float, usual: float, over: float, slope: float):
    wanted = air <= 0.0 and fire <= usual and usual >= 0.05 and over >= 3.5 and slope >= -0.004
    assert ask.heats_by_itself(air, fire, usual, over, slope) == wanted


@pytest.mark.parametrize(("over", "shut"), [(25.0, 300.0), (24.9, 300.0), (25.0, 299.0)])
def test_runaway_is_far_over_with_the_air_shut(over: float, shut: float):
    assert ask.runaway(over, shut) == (over >= 25.0 and shut >= 300.0)


@pytest.mark.parametrize(("rise", "shut"), [(19.9, 500.0), (20.0, 180.0), (20.0, 179.0)])
def test_grease_rises_faster_than_charcoal_and_is_no_lid(rise: float, shut: float):
    assert ask.grease_fire(150.0 + rise, 150.0, shut) == (rise >= 20.0 and shut >= 180.0)


@pytest.mark.parametrize(("drive", "rpm"), [(0.3, 199.0), (0.29, 0.0), (0.3, 200.0), (1.0, 0.0)])
def test_a_driven_blower_that_stands_is_stalled_after_ten_seconds(drive: float, rpm: float):
    assert ask.blower_stands(drive, rpm) == (drive >= 0.3 and rpm < 200.0)
    assert [ask.blower_stalled(s) for s in (9.9, 10.0)] == [False, True]


@pytest.mark.parametrize(("drive", "rpm"), [(0.0, 1001.0), (0.1, 5000.0), (0.0, 1000.0)])
def test_a_blower_that_turns_undriven_is_stuck_on_after_ten_seconds(drive: float, rpm: float):
    assert ask.blower_turns(drive, rpm) == (drive <= 0.0 and rpm > 1000.0)
    assert [ask.blower_spins(s) for s in (9.9, 10.0)] == [False, True]


@pytest.mark.parametrize("position", [0.75, 0.74, 1.3])
def test_a_damper_that_is_not_where_it_should_be(position: float):
    assert ask.damper_elsewhere(1.0, position) == (abs(1.0 - position) > 0.25)


def test_board_supply_and_back_draft():
    assert [ask.board_hot(c) for c in (69.9, 70.0)] == [False, True]
    assert [ask.supply_sags(v) for v in (10.5, 10.4)] == [False, True]
    assert [ask.back_draft(c, s) for c, s in ((60.0, 180.0), (59.9, 999.0), (60.0, 179.0))] == [True, False, False]
    assert [ask.blower_stuck_on(s) for s in (149.0, 150.0)] == [False, True]


def test_a_stalled_blower_is_tripped_by_its_tachometer_and_latched():
    run = Run().hold().seconds(60, tach_rpm=4000.0).seconds(12, tach_rpm=0.0)
    assert (run.alert("blower_fault"), run.out.drive) == ("trip", 0.0)
    run.seconds(120, tach_rpm=0.0)
    assert run.alert("blower_fault") == "trip"


def test_a_blower_that_turns_because_it_is_driven_is_neither_stuck_nor_still():
    run = Run().hold().seconds(240, tach_rpm=4000.0, board_c=62.0)
    assert run.out.drive > 0.0
    assert not run.controller.alerts


def test_a_hot_board_pauses_and_resumes():
    run = Run().hold().seconds(60).seconds(3, board_c=71.0)
    assert (run.alert("board_hot"), run.out.why) == ("pause", "paused")
    run.seconds(3, board_c=60.0)
    assert run.out.duty > 0.0


def test_a_damper_that_sticks_is_a_notice():
    run = Run().hold().seconds(60).seconds(25, damper_watched=True, damper_pos=0.1)
    assert run.alert("damper_fault") == "notice"


def test_swapped_wires_are_found_at_the_first_heating():
    run = Run().hold()
    for k in range(300):
        run.seconds(1, pit_c=20.0 - 0.06 * k, board_c=26.0)
    assert (run.alert("pit_sensor"), run.out.drive) == ("pause", 0.0)


def test_a_grease_fire_shuts_the_air():
    run = Run(Cooker(200.0, 0.2)).seconds(2)
    run.order("mode", mode="drive", phase="climb", stone_c=260.0, at_cooker=True)
    run.seconds(200, pit_c=200.0)
    for k in range(60):
        run.seconds(1, pit_c=200.0 + 1.3 * k)
    assert run.alert("grease_fire") == "trip"
    assert (run.out.drive, run.out.opening, run.out.mode) == (0.0, 0.0, "bank")


def test_a_probe_that_reads_lower_after_a_jump_is_not_believed_until_acknowledged():
    run = Run().hold().seconds(2 * 3600)
    for _ in range(1800):
        run.seconds(1, pit_c=round(run.cooker.pit_c * 4.0) / 4.0 - 20.0)
    assert run.alert("pit_sensor") == "pause"
    assert run.cooker.pit_c < 121.0 + 10.0
    run.order("acknowledge", id="pit_sensor")
    assert run.controller.pit.low_c == 0.0


def test_a_steady_probe_without_noise_is_not_called_frozen():
    run = Run().hold().seconds(2 * 3600)
    run.seconds(1200, pit_c=121.0)
    assert not run.controller.alerts
