"""Faults strike a world at their time and end at their time."""

from __future__ import annotations

import pytest

from emberdraft.errors import UserError
from emberdraft.plant import World, make
from emberdraft.plant.faults import KINDS, Fault, FaultSchedule


def go(world: World, schedule: FaultSchedule, seconds: int) -> None:
    for _ in range(seconds):
        world.advance(1.0)
        schedule.apply(world)


def test_an_open_probe_opens_and_is_mended_in_time():
    world = World(make("heavy_ceramic"))
    schedule = FaultSchedule([Fault("probe_open", 5.0, 9.0)])
    go(world, schedule, 6)
    assert world.fault("pit") == "open"
    go(world, schedule, 4)
    assert world.fault("pit") == ""


def test_the_blower_stuck_on_blows_until_mended():
    world = World(make("heavy_ceramic"))
    schedule = FaultSchedule([Fault("blower_stuck_on", 5.0, 30.0)])
    go(world, schedule, 25)
    assert world.tach_rpm > 5000.0
    go(world, schedule, 30)
    assert world.tach_rpm == 0.0


def test_the_blower_stuck_off_stays_off_for_good_without_an_end():
    world = World(make("heavy_ceramic"))
    world.set_air(1.0, None)
    go(world, FaultSchedule([Fault("blower_stuck_off", 5.0)]), 60)
    assert world.tach_rpm == 0.0


def test_fuel_out_ends_the_fire():
    world = World(make("heavy_ceramic", seed=1))
    world.set_air(1.0, None)
    schedule = FaultSchedule([Fault("fuel_out", 1200.0)])
    go(world, schedule, 1100)
    burning = world.truth["heat_w"]
    go(world, schedule, 1500)
    assert burning > 1500.0
    assert world.truth["heat_w"] < 0.2 * burning
    assert world.truth["fuel_kg"] <= 0.02


@pytest.mark.parametrize("kind", ["probe_short", "probe_offset", "probe_frozen"])
def test_a_probe_fault_can_be_put_on_the_stone(kind):
    world = World(make("heavy_ceramic"), noise_c=0.0)
    go(world, FaultSchedule([Fault(kind, 5.0, probe="stone", offset_c=40.0)]), 10)
    shown = world.stone_c
    truth = world.truth["stone_c"]
    assert {"probe_short": shown is None, "probe_offset": shown is not None and shown > truth + 30.0}.get(kind, True)
    assert world.pit_c is not None


def test_an_unknown_fault_and_an_end_before_its_beginning_are_refused():
    with pytest.raises(UserError, match="no fault 'gremlin'; there are probe_open"):
        Fault("gremlin", 0.0)
    with pytest.raises(UserError, match="must be after"):
        Fault("probe_open", 10.0, 5.0)
    assert len(KINDS) == 7
