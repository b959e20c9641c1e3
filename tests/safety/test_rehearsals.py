"""Every alarm that a cooker can cause, rehearsed on whole cooks: it is raised, and the air does as it must."""

from __future__ import annotations

import copy
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from emberboard.core.words import ALERTS
from tests.proof.fixture import Proof
from tests.safety.kitchen import Kitchen

COOKERS = ("heavy_ceramic", "small_ceramic", "two_zone")
# By the board itself: tests/virtual/test_lockstep.py, tests/safety/test_firmware_sums.py
NOT_BY_A_COOKER = {"boot_failed", "settings_bad", "firmware_bad"}
STOPS = {
    "pit_sensor", "pit_over_limit", "stone_over_limit", "not_answering", "blower_fault", "runaway", "grease_fire",
    "board_hot", "supply_low", "memory_bad",
}  # fmt: skip


@cache
def _held(cooker: str) -> Kitchen:
    kitchen = Kitchen(cooker, 8, ambient_c=15.0).hold().minutes(100)
    assert kitchen.alarms == []
    return kitchen


def held(cooker: str) -> Kitchen:
    """A cook that has held for half an hour, to do with as one likes."""
    return copy.deepcopy(_held(cooker))


def set_input(name: str, value: Any) -> Callable[[Kitchen], Kitchen]:
    def do(kitchen: Kitchen) -> Kitchen:
        kitchen.meddle = lambda k: setattr(k.inputs, name, value)
        return kitchen.minutes(1)

    return do


def spinning(kitchen: Kitchen) -> Kitchen:
    """The lid is open, no air is wanted, and the blower turns."""
    kitchen.meddle = lambda k: setattr(k.inputs, "tach_rpm", 5000.0)
    return kitchen.lid(True).minutes(1)


def climbing(name: str, by_cps: float, minutes: float) -> Callable[[Kitchen], Kitchen]:
    """The probe climbs on from where it is, whatever the air does."""

    def do(kitchen: Kitchen) -> Kitchen:
        begun_s, from_c = kitchen.now_s, getattr(kitchen.inputs, name)
        kitchen.meddle = lambda k: setattr(k.inputs, name, from_c + by_cps * (k.now_s - begun_s))
        return kitchen.minutes(minutes)

    return do


def broken(name: str) -> Callable[[Kitchen], Kitchen]:
    def do(kitchen: Kitchen) -> Kitchen:
        kitchen.world.break_probe(name, "open")
        return kitchen.run(5)

    return do


def put_out(kitchen: Kitchen) -> Kitchen:
    kitchen.world.plant.put_out()
    return kitchen.minutes(25)


def spent(kitchen: Kitchen) -> Kitchen:
    kitchen.world.lose_fuel()
    return kitchen.minutes(15)


def overlong(kitchen: Kitchen) -> Kitchen:
    return kitchen.drive(longest_s=600.0).minutes(10.1)


def starved(kitchen: Kitchen) -> Kitchen:
    kitchen.meddle = lambda k: setattr(k.inputs, "pit_c", 215.0)
    kitchen.controller.order("mode", {"mode": "bank", "phase": "bank"}, kitchen.now_s * 1000)
    return kitchen.minutes(1)


def drawn_back(kitchen: Kitchen) -> Kitchen:
    """The fire is being put out, the blower stands, and hot gas comes through it."""
    kitchen.order("mode", mode="bank", phase="bank")
    kitchen.meddle = lambda k: setattr(k.inputs, "board_c", 61.0)
    return kitchen.minutes(3.2)


def left_open(kitchen: Kitchen) -> Kitchen:
    return kitchen.lid(True).minutes(20.1)


def jammed(kitchen: Kitchen) -> Kitchen:
    """The damper is told to shut, and its switches say that it is on the way for ever."""
    kitchen.inputs.damper_watched = True
    kitchen.order("mode", mode="bank", phase="bank")
    return kitchen.minutes(1)


def forgetful(kitchen: Kitchen) -> Kitchen:
    kitchen.controller.agreed.pit_limit_c = 360.0
    return kitchen.run(1)


def done(kitchen: Kitchen) -> Kitchen:
    kitchen.order("pieces", pull_c=[57.0])
    kitchen.meddle = lambda k: k.inputs.core_c.__setitem__(0, 57.5)
    return kitchen.run(5)


REHEARSALS: dict[str, Callable[[Kitchen], Kitchen]] = {
    "pit_sensor": broken("pit"),
    "stone_sensor": broken("stone"),
    "pit_over_limit": climbing("pit_c", 0.4, 4),
    "stone_over_limit": climbing("stone_c", 0.8, 8),
    "not_answering": put_out,
    "fuel_out": spent,
    "blower_fault": set_input("tach_rpm", 0.0),
    "blower_stuck_on": spinning,
    "runaway": climbing("pit_c", 0.03, 20),
    "grease_fire": climbing("pit_c", 1.5, 1),  # slower, the limit would be reached first
    "board_hot": set_input("board_c", 71.0),
    "supply_low": set_input("supply_v", 9.0),
    "drive_too_long": overlong,
    "starved_hot": starved,
    "lid_left_open": left_open,
    "pull": done,
    "damper_fault": jammed,
    "back_draft": drawn_back,
    "memory_bad": forgetful,
}


def rehearsed(alarm: str, cooker: str) -> bool:
    """Whether the alarm came, and the air was taken away where it must be."""
    kitchen = held(cooker)
    if alarm == "blower_fault":
        kitchen.controller.new_target(160.0)  # much air, so that it is driven
        kitchen.run(5)
    kitchen = REHEARSALS[alarm](kitchen)
    stopped = kitchen.out.drive == 0.0 or alarm not in STOPS
    return alarm in kitchen.names() and stopped


def test_every_alarm_has_a_rehearsal():
    assert set(REHEARSALS) | NOT_BY_A_COOKER == set(ALERTS)


@pytest.mark.parametrize("alarm", REHEARSALS)
def test_the_alarm_is_raised_and_the_air_does_as_it_must(alarm: str):
    assert rehearsed(alarm, "heavy_ceramic")


@pytest.mark.prove("safety: rehearsals")
def test_every_alarm_on_three_cookers(proof: Proof):
    missed = [(alarm, cooker) for alarm in REHEARSALS for cooker in COOKERS if not rehearsed(alarm, cooker)]
    total = len(REHEARSALS) * len(COOKERS)
    name = f"{len(REHEARSALS)} alarms on {len(COOKERS)} cookers: not raised, or with other air than must be"
    proof.promise(name, len(missed), equals=0, note=f"of {total}; {missed or 'none'}")
