"""Figures of the whole firmware under faults, at full size for `make prove`, a sample of each in every run."""

from __future__ import annotations

import json
import random

import pytest

from tests.proof.fixture import Proof
from tests.virtual.conftest import SmallWorld

PROVES = ["firmware", "host/emberdraft/virtual"]
CHIP_FAULTS = {
    "open": lambda board: board.unplug("pit", "open"),
    "short to supply": lambda board: board.unplug("pit", "short"),
    "bus all zeros": lambda board: board.stick_bus("low"),
    "bus all ones": lambda board: board.stick_bus("high"),
}
MODES = ("off", "hold", "drive", "bank")


def bring_into(cook, mode):
    """The board in `mode`, with the blower running where that mode runs it."""
    if mode == "off":
        return
    args = {"mode": mode, "phase": {"hold": "slow", "drive": "climb", "bank": "bank"}[mode], "at_cooker": True}
    args.update({"hold": {"target_c": 121.0}, "drive": {"stone_c": 270.0}, "bank": {}}[mode])
    cook.order(1, "mode", **args)
    cook.run(25.0)


def after_the_fault(start, mode, cause):
    """(blower before, blower at each of the five readings after the fault)."""
    cook = start(SmallWorld(pit_c=80.0))
    bring_into(cook, mode)
    before, count = cook.board.drive, len(cook.readings)
    cause(cook.board)
    cook.run(6.0)
    bad = [row for row in cook.readings[count:] if row["pit_fault"]]
    return before, [row["drive"] for row in bad[:5]]


@pytest.mark.parametrize("name", CHIP_FAULTS)
def test_a_fault_at_the_chip_stops_the_blower_and_starts_nothing(start, name):
    before, drives = after_the_fault(start, "hold", CHIP_FAULTS[name])
    assert before > 0.0
    assert drives[2:] == [0.0] * len(drives[2:])


@pytest.mark.prove("Virtual board", proves=PROVES)
def test_all_chip_faults_in_all_modes(start, proof: Proof):
    good, total = 0, 0
    for mode in MODES:
        for cause in CHIP_FAULTS.values():
            before, drives = after_the_fault(start, mode, cause)
            total += 1
            good += len(drives) >= 4 and not any(drives[2:]) and (before > 0.0 or not any(drives))
    proof.promise("chip faults x modes: blower not 0 within 3 samples", total - good, equals=0, note=f"of {total}")


def seconds_until_still(start, cause, after_s):
    """How long the blower ran on after the control task was stopped by `cause`."""
    cook = start(SmallWorld())
    cook.hold()
    cook.run(after_s)
    assert cook.board.drive > 0.0
    cause(cook.board)
    cook.run(5.0)
    assert cook.board.boots == 2
    return cook.board.still_s - cook.board.stopped_s


@pytest.mark.parametrize("way", ["hang", "throw"])
def test_the_blower_stops_when_control_stops(start, way):
    took_s = seconds_until_still(start, lambda board: getattr(board, way)(), 15.3)
    assert 0.0 <= took_s <= 3.0


@pytest.mark.prove("Virtual board", proves=PROVES)
def test_the_blower_stops_whenever_control_stops(start, proof: Proof):
    chance = random.Random(1)
    took = []
    for k in range(20):
        way = ("hang", "throw")[k % 2]
        cause = lambda board, way=way: getattr(board, way)()  # noqa: E731
        took.append(seconds_until_still(start, cause, chance.uniform(15.0, 20.0)))
    assert min(took) >= 0.0
    proof.promise("blower off after control stops, the slowest of 20, s", round(max(took), 2), at_most=3.0)


def cut_and_return(cook, chance):
    """One power cut at a random instant; what the board does until its first good sample."""
    cook.run(chance.uniform(0.05, 2.0))
    cook.board.power_cut(chance.uniform(0.1, 3.0))
    drives = []
    boots = cook.board.boots
    while cook.board.boots == boots:
        cook.run(0.2)
        drives.append(cook.board.drive)
    for _ in range(8):
        cook.run(0.5)
        drives.append(cook.board.drive)
    kept = cook.board.flash / "kept.json"
    return not any(drives), not kept.exists() or "trips" in json.loads(kept.read_text())


@pytest.mark.parametrize("cuts", [3, pytest.param(200, marks=pytest.mark.prove("Virtual board", proves=PROVES))])
def test_power_cuts_leave_no_air_and_no_broken_file(start, proof: Proof, cuts):
    chance = random.Random(2)
    cook = start(SmallWorld())
    results = []
    for k in range(cuts):
        cook.hold(n=k + 1)
        results.append(cut_and_return(cook, chance))
        cook.run(8.0)
    still, readable = (sum(each[i] for each in results) for i in (0, 1))
    proof.promise("power cuts: blower on before the first good sample", cuts - still, equals=0, note=f"of {cuts}")
    proof.promise("power cuts: stored trips unreadable", cuts - readable, equals=0, note=f"of {cuts}")
