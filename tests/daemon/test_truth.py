"""No sentence of a rehearsed cook is false; and each that once was is found when it is planted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.daemon.planted import falsified
from tests.daemon.rehearsed import LOOK_S, MOST_H, REHEARSALS, Rehearsed
from tests.daemon.series import Series
from tests.daemon.shown import Line
from tests.daemon.truth import Look, found
from tests.proof.fixture import Proof

HOUR_LOOKS = 3600 / LOOK_S


def rehearsed(folder: Path, seed: int) -> Rehearsed:
    cook = Rehearsed(folder, seed)
    cook.run(MOST_H)
    return cook


@pytest.fixture(scope="module", params=[3, 8], ids=["hold with lids", "by hand over its limit"])
def cook(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Rehearsed:
    """Two of the sixty."""
    return rehearsed(tmp_path_factory.mktemp("cook"), request.param)


def test_a_cook_says_nothing_false(cook: Rehearsed) -> None:
    assert cook.said > 5 * HOUR_LOOKS
    assert cook.wrong == []


def test_falsehoods_planted_in_what_a_cook_said_are_found(cook: Rehearsed) -> None:
    """Each way to make a line false, wherever a look has such a line; nothing is found before."""
    tried = 0
    for look in cook.looks:
        assert found(look) == []
        for name, false in falsified(look):
            tried += 1
            assert found(false), f"{name}: {[line.text for line in false.lines][:4]}"
    assert tried > len(cook.looks)


@pytest.mark.prove("sentences")
@pytest.mark.parametrize("seed", range(REHEARSALS))
def test_sixty_rehearsals_say_nothing_false(tmp_path: Path, seed: int, proof: Proof) -> None:
    cook = rehearsed(tmp_path, seed)
    proof.record(f"rehearsal {seed:02d}, {cook.name}: lines read", cook.said)
    proof.promise(f"rehearsal {seed:02d}, {cook.name}: false", len(cook.wrong), at_most=0)
    assert cook.wrong == []


# ---- planted: as each was seen


BOARD = {"mode": "hold", "target_c": 121.0, "lid_open": False, "core_c": [], "fire": 0.3, "i": 0.3}


def _series(pace: float = 0.0, duty: float = 0.3, then: float = 0.3, why: str = "steady") -> Series:
    series = Series()
    for t in range(1200):
        pit_c = 121.0 + pace * (t - 1199) / 60.0
        row = {"at_s": float(t), "pit_c": pit_c, "stone_c": 260.0, "duty": duty if t > 700 else then}
        series.add({**row, **BOARD, "why": why})
    return series


def _state(**more: Any) -> dict[str, Any]:
    empty: dict[str, Any] = {key: [] for key in ("alarms", "asked", "upcoming", "forecasts", "phases", "ledger")}
    return {**empty, "now_s": 1199.0, "number": {"wanted_c": None, "of": "pit"}, **more}


def _look(sentence: str, detail: str, state: dict[str, Any], series: Series) -> Look:
    alarms = [Line(f"alarm {row['id']}", row["cause"], row["at_s"]) for row in state["alarms"]]
    return Look([Line("sentence", sentence), Line("detail", detail), *alarms], state, series, "c")


ALARM = {"id": "pit_over_limit", "at_s": 900.0, "cause": "The pit reached 259 °C, its limit is 250 °C"}
PLANTED = {
    "at odds: falling, because rising": (
        "Holding 121 °C: 0.4 °C over, falling 0.9 a minute, easing off.",
        "Blower 24 %, down from 30 % ten minutes ago: less because the pit is already rising.",
        _state(), _series(-0.9, 0.24),
    ),
    "at odds: left as it is, and changed": (
        "Holding 121 °C: on it, steady, leaving the air as it is.",
        "Blower 20 %, down from 30 % ten minutes ago: more because the pit is under what is wanted now.",
        _state(), _series(0.0, 0.2),
    ),
    "cause that nobody knows: a constant target that goes down": (
        "Holding 121 °C: on it, steady, easing off.",
        "Blower 20 %, down from 30 % ten minutes ago: less because the wanted temperature goes down.",
        _state(), _series(0.0, 0.2),
    ),
    "at odds: less air at 92 %": (
        "The stone is there, at 260 °C: steady, with less air, so as not to pass it.", "Blower 92 %.",
        _state(), _series(0.0, 0.92),
    ),
    "direction: another": ("Holding 121 °C: on it, rising 0.4 a minute, air 30 %.", "", _state(), _series(-0.5)),
    "old: a value of then": ("Stopped the blower.", "", _state(alarms=[ALARM]), _series()),
    "promise: a promise under a trip": (
        "Stopped the blower.", "", _state(forecasts=[{"key": "stone"}]), _series(why="tripped"),
    ),
    "promise: a stone on its way under a trip": (
        "The stone, on its way to 518 °F.", "", _state(), _series(why="tripped"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", PLANTED)
def test_what_was_seen_to_be_false_is_found_when_it_is_planted(name: str) -> None:
    what = name.partition(": ")[0]
    assert any(one.startswith(what) for one in found(_look(*PLANTED[name])))


def test_what_is_true_is_not_found() -> None:
    words = (
        "Holding 121 °C: on it, steady, less air than ten minutes ago.",
        "Blower 20 %, down from 30 % ten minutes ago.",
    )
    assert found(_look(*words, _state(), _series(0.0, 0.2))) == []
    timed = ALARM | {"cause": "The pit reached 121 °C at 00:15, now 121 °C, its limit is 100 °C"}
    assert found(_look("Stopped the blower.", "", _state(alarms=[timed]), _series(why="tripped"))) == []
