"""A pit far over its target: no air within the step, no trip while it comes down by itself, a trip when it does not."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from tests.core.cooker import Cooker, Run

FLOOR = 0.1  # of the damper's way: the air that keeps a fire alive


def follow(run: Run, pits_c: Iterable[float]) -> float | None:
    """Let the pit go that way; the first of its temperatures at which the air was tripped, else None."""
    for pit_c in pits_c:
        run.seconds(1, pit_c=pit_c)
        over = run.controller.target_c is not None and pit_c >= run.controller.target_c + 40.0
        assert not (over and run.out.drive > 0.0), pit_c
        if "pit_over_limit" in run.controller.alerts:
            return pit_c
    return None


def ramp(from_c: float, to_c: float, by_cps: float) -> list[float]:
    count = int(abs(to_c - from_c) / by_cps)
    step = by_cps if to_c > from_c else -by_cps
    return [from_c + k * step for k in range(count + 1)]


def test_a_boot_on_a_hot_cooker_gives_no_air_and_comes_down_to_its_target():
    run = Run(Cooker(300.0, 0.02)).hold(121.0).seconds(1)
    assert (run.out.drive, run.out.opening) == (0.0, pytest.approx(FLOOR))
    hours = 0.0
    while run.cooker.pit_c >= 161.0:
        run.seconds(10)
        hours += 10.0 / 3600.0
        assert run.out.drive == 0.0 or run.inputs.pit_c < 161.0
        assert hours < 12.0
    run.seconds(4 * 3600)
    assert [name for name, alert in run.controller.alerts.items() if alert.kind != "notice"] == []
    assert run.cooker.pit_c == pytest.approx(121.0, abs=3.0)
    assert run.controller.guard.limit_c == 161.0


@pytest.mark.parametrize(("begin_c", "trip_c"), [(165.0, 195.0), (300.0, 330.0), (338.0, 350.0)])
def test_a_hot_pit_that_is_fed_is_tripped_thirty_degrees_over_what_it_was(begin_c: float, trip_c: float):
    run = Run(Cooker(begin_c, 0.02)).hold(121.0)
    assert follow(run, [begin_c] * 240) is None
    at_c = follow(run, ramp(begin_c, 360.0, 0.1))
    assert at_c == pytest.approx(trip_c, abs=0.3)
    assert (run.out.drive, run.out.opening, run.out.mode) == (0.0, 0.0, "bank")


def test_one_that_came_down_and_is_fed_then_is_tripped_thirty_degrees_over_its_lowest():
    run = Run(Cooker(300.0, 0.02)).hold(121.0)
    assert follow(run, ramp(300.0, 200.0, 0.05)) is None
    assert follow(run, [200.0] * 600) is None
    assert follow(run, ramp(200.0, 345.0, 0.1)) == pytest.approx(230.0, abs=0.3)


def test_fed_before_there_is_a_mean_the_pits_own_limit_stands_and_there_is_no_air():
    run = Run(Cooker(165.0, 0.02)).hold(121.0)
    assert follow(run, ramp(165.0, 360.0, 1.1)) == pytest.approx(350.0, abs=2.3)


def test_told_open_when_the_hold_begins_there_is_no_mean_and_no_air():
    run = Run(Cooker(165.0, 0.02)).hold(121.0)
    run.seconds(1, lid_button=True)
    assert follow(run, [165.0] * 600) is None
    assert follow(run, ramp(165.0, 360.0, 0.1)) == pytest.approx(350.0, abs=0.3)
    assert run.out.drive == 0.0


def test_a_pages_word_that_it_is_open_hides_no_mean_from_the_guard():
    run = Run(Cooker(165.0, 0.02)).hold(121.0)
    run.order("lid", open=True, at_cooker=True)
    assert follow(run, [165.0] * 600) is None
    assert follow(run, ramp(165.0, 360.0, 0.1)) == pytest.approx(195.0, abs=0.5)
    assert run.out.drive == 0.0


def test_a_target_lowered_from_260_to_121_is_no_trip_and_no_air():
    run = Run(Cooker(255.0, 0.2)).hold(260.0)
    assert follow(run, [259.0, 259.25] * 200) is None
    run.order("target", target_c=121.0)
    assert follow(run, [259.0, 259.25] * 60) is None
    assert follow(run, ramp(259.0, 130.0, 0.03)) is None
    assert run.controller.guard.limit_c == pytest.approx(161.0, abs=3.0)
    assert [name for name, alert in run.controller.alerts.items() if alert.kind != "notice"] == []


def test_a_target_lowered_again_and_again_does_not_lift_the_limit():
    run = Run(Cooker(121.0, 0.1)).hold(121.0)
    assert follow(run, [121.0] * 600) is None
    tripped_c = None
    for k, pit_c in enumerate(ramp(121.0, 200.0, 0.2)):
        if k % 10 == 0:
            assert run.order("target", target_c=121.0 - 0.001 * (k // 10)) == ("", "")
        tripped_c = tripped_c or follow(run, [pit_c])
        if tripped_c:
            break
    assert tripped_c == pytest.approx(161.0, abs=0.3)


def test_in_a_drive_one_sample_at_the_agreed_limit_takes_the_air_and_two_are_a_trip():
    run = Run(Cooker(245.0, 0.2)).seconds(5)
    order = {"mode": "drive", "phase": "climb", "stone_c": 300.0, "pit_limit_c": 280.0, "at_cooker": True}
    assert run.order("mode", **order) == ("", "")
    run.seconds(60, pit_c=245.0)
    assert run.out.drive > 0.0
    run.seconds(1, pit_c=280.0)
    assert (run.out.drive, run.out.opening, run.controller.alerts) == (0.0, pytest.approx(FLOOR), {})
    run.seconds(1, pit_c=280.0)
    assert run.alert("pit_over_limit") == "trip"


def test_a_boards_own_limit_is_a_ceiling_for_a_drive():
    run = Run(Cooker(100.0, 0.1)).seconds(2)
    order = {"mode": "drive", "phase": "climb", "stone_c": 300.0, "pit_limit_c": 350.25, "at_cooker": True}
    code, text = run.order("mode", **order)
    assert (code, text) == ("out_of_range", "pit_limit_c: at most 350, this board's own")
    assert run.order("mode", **{**order, "pit_limit_c": 350.0}) == ("", "")
