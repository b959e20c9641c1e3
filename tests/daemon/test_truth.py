"""No sentence of a rehearsed cook is false; and each that once was is found when it is planted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from emberdraft.said import Said, render
from tests.daemon.nights import FAULTS, HOUR_S, Night
from tests.daemon.truth import Series, found
from tests.proof.fixture import Proof

KINDS = ("", "lids", *FAULTS)
LOOK_S = 20
REHEARSALS = 60


class Watched(Night):
    """A short night whose every word is read beside the plain readings. Odd seeds read them in degF."""

    def __init__(self, folder: Path, seed: int, kind: str) -> None:
        super().__init__(folder, seed, "" if kind == "lids" else kind, hours=2)
        self.kind, self.unit, self.series = kind, "f" if seed % 2 else "c", Series()
        self.wrong: list[str] = []
        self.said = 0

    def _heard(self, out: Any) -> None:
        super()._heard(out)
        row = self.service.live.row
        assert row is not None
        self.series.add(row)
        if self.seq % LOOK_S:
            return
        state = in_words(self.service.now(), self.unit)
        self.wrong += [f"{self.seq} s: {one}" for one in found(state["sentence"], state["detail"], state, self.series)]
        self.said += 1

    def _second(self) -> None:
        super()._second()
        if self.kind == "lids" and self.seq > 5400 and self.seq % 1500 in (0, 60):
            (self.world.shut_lid if self.seq % 1500 else self.world.open_lid)()


def in_words(value: Any, unit: str) -> Any:
    """A state as who reads it in `unit` sees it: each text with quantities is its words."""
    if isinstance(value, Said):
        return render(value, unit)
    if isinstance(value, dict):
        return {key: in_words(each, unit) for key, each in value.items()}
    return [in_words(each, unit) for each in value] if isinstance(value, list) else value


def watched(folder: Path, seed: int) -> Watched:
    night = Watched(folder, seed, KINDS[seed % len(KINDS)])
    night.run(most_h=3.5)
    return night


@pytest.mark.parametrize("seed", [0, 5])
def test_a_cook_says_nothing_false(tmp_path: Path, seed: int) -> None:
    night = watched(tmp_path, seed)
    assert night.said > 2 * HOUR_S / LOOK_S * 0.5
    assert night.wrong == []


@pytest.mark.prove("sentences")
@pytest.mark.parametrize("seed", range(REHEARSALS))
def test_sixty_rehearsals_say_nothing_false(tmp_path: Path, seed: int, proof: Proof) -> None:
    night = watched(tmp_path, seed)
    proof.record(f"rehearsal {seed:02d}, {night.kind or 'no fault'}: looks", night.said)
    proof.promise(f"rehearsal {seed:02d}, {night.kind or 'no fault'}: false", len(night.wrong), at_most=0)
    assert night.wrong == []


# ---- planted: as each was seen


def _series(pace: float = 0.0, duty: float = 0.3, then: float = 0.3, why: str = "steady") -> Series:
    series = Series()
    for t in range(1200):
        pit_c = 121.0 + pace * (t - 1200) / 60.0
        row = {"at_s": float(t), "pit_c": pit_c, "stone_c": 260.0, "duty": duty if t > 700 else then}
        series.add({**row, "why": why, "fire": 0.3, "i": 0.3})
    return series


def _state(**more: Any) -> dict[str, Any]:
    empty: dict[str, Any] = {key: [] for key in ("alarms", "asked", "upcoming", "forecasts", "phases", "ledger")}
    return {**empty, "now_s": 1000.0, "number": {"wanted_c": None}, **more}


ALARM = {"at_s": 900.0, "cause": "The pit reached 259 °C, its limit is 250 °C"}
PLANTED = {
    "falling, because rising": (
        "Holding 121 °C: 0.4 °C over, falling 0.9 a minute, easing off.",
        "Blower 24 %, down from 30 % ten minutes ago: less because the pit is already rising.",
        _state(), _series(-0.9, 0.24),
    ),
    "left as it is, and changed": (
        "Holding 121 °C: on it, steady, leaving the air as it is.",
        "Blower 20 %, down from 30 % ten minutes ago: more because the pit is under what is wanted now.",
        _state(), _series(0.0, 0.2),
    ),
    "a constant target that goes down": (
        "Holding 121 °C: on it, steady, easing off.",
        "Blower 20 %, down from 30 % ten minutes ago: less because the wanted temperature goes down.",
        _state(), _series(0.0, 0.2),
    ),
    "less air at 92 %": (
        "The stone is there, at 260 °C: steady, with less air, so as not to pass it.", "Blower 92 %.",
        _state(), _series(0.0, 0.92),
    ),
    "another direction": ("Holding 121 °C: on it, rising 0.4 a minute, air 30 %.", "", _state(), _series(-0.5)),
    "a value of then": ("Stopped the blower.", "", _state(alarms=[ALARM]), _series()),
    "a promise under a trip": (
        "Stopped the blower.", "", _state(forecasts=[{"key": "stone"}]), _series(why="tripped"),
    ),
    "a stone on its way under a trip": (
        "The stone, on its way to 518 °F.", "", _state(), _series(why="tripped"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PLANTED)
def test_what_was_seen_to_be_false_is_found_when_it_is_planted(name: str) -> None:
    assert found(*PLANTED[name])


def test_what_is_true_is_not_found() -> None:
    words = (
        "Holding 121 °C: on it, steady, less air than ten minutes ago.",
        "Blower 20 %, down from 30 % ten minutes ago.",
    )
    assert found(*words, _state(), _series(0.0, 0.2)) == []
    timed = ALARM | {"cause": "The pit reached 259 °C at 20:41, now 228 °C"}
    assert found("Stopped the blower.", "", _state(alarms=[timed]), _series(why="tripped")) == []
