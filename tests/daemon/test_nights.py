"""Rehearsed nights with a person asleep: every row that applies is called, at once; nothing false; within the caps.

Figures from outside for the load (ANSI/ISA-18.2, IEC 62682 after EEMUA 191, as their users quote them): about 6 alarms
an hour acceptable, more than 10 in 10 min a flood. `make prove` runs forty nights, ten of them with a fault.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.daemon.nights import FAULTS, HOLD, HOUR_S, Night, Witness
from tests.proof.fixture import Proof

NIGHTS = 40


def fault_of(seed: int) -> str:
    """Ten nights of the forty have a fault, each another."""
    return FAULTS[seed // 4] if seed % 4 == 3 and seed // 4 < len(FAULTS) else ""


def check(found: Witness) -> None:
    """What is asked of every night."""
    assert found.missed() == []
    assert found.false == []
    assert found.after_the_end == []
    assert found.not_over() == []
    assert found.over_caps() == []
    assert found.most_in(600.0) <= 10  # a flood by the standard
    assert found.most_in(HOUR_S) <= 7 and found.most_later() <= 4
    assert all(len(times) == len(set(times)) for times in found.pushes.values())


@pytest.mark.parametrize("fault", ["link comes and goes", "host restarts"])
def test_a_night_with_a_fault(tmp_path: Path, fault: str) -> None:
    night = Night(tmp_path, 5, fault, HOLD.format(h=3))
    check(night.run())
    assert night.witness.calls()


@pytest.mark.prove("calls")
@pytest.mark.parametrize("seed", range(NIGHTS))
def test_forty_nights(tmp_path: Path, seed: int, proof: Proof) -> None:
    night = Night(tmp_path, seed, fault_of(seed))
    found = night.run()
    hours, what = night.seq / HOUR_S, fault_of(seed) or "no fault"
    counted = f"{len(found.calls())} calls, {len(found.seconds)} pushes in {hours:.0f} h"
    proof.record(f"night {seed:02d}, {what}", counted)
    proof.promise(f"night {seed:02d}, {what}: pushes in the fullest hour", found.most_in(HOUR_S), at_most=7)
    proof.promise(f"night {seed:02d}, {what}: pushes in a later hour", found.most_later(), at_most=4)
    proof.promise(f"night {seed:02d}, {what}: pushes an hour", round(len(found.seconds) / hours, 2), at_most=6.0)
    proof.promise(f"night {seed:02d}, {what}: pushes in the fullest 10 min", found.most_in(600.0), at_most=10)
    check(found)
