"""A probe that lies: frozen, swapped wires, a step that stays. Found in time, with air in any mode, never wrongly."""

from __future__ import annotations

from math import exp
from random import Random

import pytest

from tests.proof.fixture import Proof
from tests.safety.kitchen import Kitchen

COOKERS = ("heavy_ceramic", "small_ceramic", "two_zone")
MODES = ("light", "slow", "climb", "sear")
FROZEN_S, REVERSED_S, OFFSET_S = 180, 300, 10
CHIP_C = 1.0 / 128.0  # one step of a MAX31856 (its data sheet, linearised thermocouple register)


def begun(cooker: str, mode: str, minutes: float) -> Kitchen:
    """A cook in that mode, its chip as fine as the board's."""
    kitchen = Kitchen(cooker, 6)
    kitchen.world.sensors.resolution_c = CHIP_C
    if mode in ("light", "slow"):
        kitchen.hold(phase=mode)
    else:
        kitchen.drive(phase=mode)
    return kitchen.minutes(minutes)


def found_s(kitchen: Kitchen, within_s: int) -> int | None:
    """Seconds until the pit's probe is not believed any more and there is no air."""
    assert kitchen.alarms == []
    at_s = kitchen.now_s
    kitchen.run(within_s + 2)
    stopped = kitchen.out.drive == 0.0 and kitchen.out.why == "paused"
    return kitchen.first({"pit_sensor"}, at_s) if stopped else None


def frozen(cooker: str, mode: str) -> int | None:
    kitchen = begun(cooker, mode, 30.0)
    kitchen.world.break_probe("pit", "frozen")
    return found_s(kitchen, FROZEN_S)


def offset(cooker: str, mode: str, by_c: float = -15.0) -> int | None:
    kitchen = begun(cooker, mode, 30.0)
    kitchen.world.break_probe("pit", "offset", by_c)
    return found_s(kitchen, OFFSET_S)


def swapped(cooker: str, mode: str) -> int | None:
    """Wires swapped: a hot junction reads as far below the board as it is above it."""
    kitchen = Kitchen(cooker, 6)
    board_c = kitchen.world.ambient_c + 6.0
    kitchen.pit_c = lambda true_c, _now_s: 2.0 * board_c - true_c
    if mode in ("light", "slow"):
        kitchen.hold(phase=mode)
    else:
        kitchen.drive(phase=mode)
    return found_s(kitchen, REVERSED_S)


KINDS = {"frozen": frozen, "offset": offset, "swapped": swapped}


@pytest.mark.parametrize("kind", KINDS)
def test_a_lying_probe_is_found_in_time(kind: str):
    assert KINDS[kind]("small_ceramic", "slow") is not None


@pytest.mark.prove("safety: lying probes")
def test_twelve_of_twelve_on_three_cookers(proof: Proof):
    limits = {"frozen": FROZEN_S, "swapped": REVERSED_S, "offset": OFFSET_S}
    for kind, find in KINDS.items():
        times = [find(cooker, mode) for cooker in COOKERS for mode in MODES]
        missed = [t for t in times if t is None]
        slowest_s = None if missed else max(times)
        name = f"{kind}: found in four modes on {len(COOKERS)} cookers, the slowest, s"
        proof.promise(name, slowest_s, at_most=limits[kind], note=f"{len(missed)} of {len(times)} never")


def test_a_quiet_coarse_probe_may_stay_on_one_step_for_an_hour():
    kitchen = Kitchen().hold().minutes(90)
    kitchen.pit_c = lambda _true_c, _now_s: 121.0
    kitchen.minutes(60)
    assert kitchen.alarms == []


def test_it_is_frozen_all_the_same_when_the_lid_goes_up_and_it_does_not_move():
    kitchen = Kitchen().hold().minutes(90)
    kitchen.pit_c = lambda _true_c, _now_s: 121.0
    kitchen.minutes(2).lid(True).run(29)
    assert kitchen.alarms == []
    kitchen.run(3)
    assert kitchen.names() == ["pit_sensor"]
    assert kitchen.controller.pit.fault == "frozen"


def test_a_step_of_more_than_forty_degrees_is_not_believed_again_until_somebody_has_looked():
    kitchen = Kitchen().hold().minutes(90)
    kitchen.pit_c = lambda true_c, _now_s: true_c - 45.0
    kitchen.minutes(10)
    assert (kitchen.out.drive, kitchen.out.why) == (0.0, "paused")
    kitchen.pit_c = None
    kitchen.minutes(5)
    assert kitchen.out.why == "paused"
    kitchen.order("acknowledge", id="pit_sensor", at_cooker=True)
    kitchen.minutes(1)
    assert kitchen.out.why != "paused"


@pytest.mark.parametrize("down_c", [20.0, 45.0])
@pytest.mark.parametrize("name", ["pit_sensor", "all"])
def test_one_that_was_acknowledged_from_far_away_gives_no_air(down_c: float, name: str):
    """Condemned, or corrected by its step: believed again it would ask for heat, and nobody has looked at it."""
    kitchen = Kitchen().hold().minutes(90)
    kitchen.pit_c = lambda true_c, _now_s: true_c - down_c
    kitchen.minutes(10)
    kitchen.order("acknowledge", id=name)
    assert kitchen.run(1).out.mode == "off"
    assert kitchen.minutes(5).out.drive == 0.0


def test_a_probe_that_fell_out_of_the_cooker_is_asked_about_and_then_a_fire_that_does_not_answer():
    """It cools within a minute (time constant 25 s: no source) and says the yard's temperature, with its noise."""
    kitchen = Kitchen().hold().minutes(100)
    chance, from_s, was_c = Random("fell out"), kitchen.now_s, kitchen.world.pit_c
    kitchen.pit_c = lambda _true_c, now_s: 25.0 + (was_c - 25.0) * exp((from_s - now_s) / 25.0) + chance.gauss(0.0, 0.2)
    kitchen.minutes(30)
    assert kitchen.first({"lid_left_open"}, from_s) <= 600
    assert kitchen.first({"not_answering"}, from_s) <= 1620  # 4 min as a lid, then 10 and 12 for an answer
    assert kitchen.out.drive == 0.0


def test_an_alarm_that_is_not_there_pardons_no_probe():
    kitchen = Kitchen().hold().minutes(90)
    kitchen.controller.pit.low_c = 20.0
    assert kitchen.controller.order("acknowledge", {"id": "pit_sensor"}, kitchen.now_s * 1000)[0] == "not_now"
    assert kitchen.controller.pit.low_c == 20.0


def test_a_step_that_can_be_added_again_goes_on_with_it_after_half_a_minute():
    kitchen = Kitchen().hold().minutes(90)
    kitchen.pit_c = lambda true_c, _now_s: true_c - 20.0
    kitchen.run(45)
    assert kitchen.controller.pit.value_c == pytest.approx(kitchen.world.pit_c, abs=1.5)
    assert kitchen.out.why != "paused"


def test_a_cold_cooker_on_a_cold_day_is_no_swapped_probe():
    kitchen = Kitchen("muffle", 2, ambient_c=-10.0, wind_mps=4.0).hold()
    kitchen.minutes(20)
    assert kitchen.alarms == []
