"""Cooks on the bench's cookers, recorded as a board records them: a lid, two other targets, another lid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from emberdraft.bench.board_controller import BoardController
from emberdraft.bench.cookers import Cooker
from emberdraft.bench.rig import Rig
from emberdraft.bench.scenarios import Scenario, Step
from emberdraft.bench.sensors import Sensors
from emberdraft.tuning.record import Cook, cook_of

MIN = 60.0
LATER_MIN, LATER_C = 170.0, 118.0
NAMES = (
    "at_s",
    "mode",
    "phase",
    "pit_c",
    "stone_c",
    "target_c",
    "ref_c",
    "duty",
    "drive",
    "opening",
    "p_duty",
    "lid_open",
)


@dataclass(frozen=True)
class Run:
    """A cook's columns, and the true pit each second."""

    columns: dict[str, list[Any]]
    true_c: np.ndarray

    def cook(self, until_min: float | None = None) -> Cook:
        """As the tuning takes it, or its first minutes."""
        n = len(self.true_c) if until_min is None else int(until_min * MIN)
        return cook_of({name: values[:n] for name, values in self.columns.items()})

    def iae_cs(self) -> float:
        """Integral of the true error, lid shut, from first within 3 degC on."""
        miss = np.abs(self.true_c - np.array([np.nan if x is None else x for x in self.columns["target_c"]]))
        first = int(np.nonzero(miss < 3.0)[0][0])
        shut = np.array(self.columns["lid_open"][first:]) == 0
        return float(np.nansum(miss[first:][shut]))


def story(minutes: float, lid_min: float = 70.0, down_min: float = 95.0, up_min: float = 125.0) -> Scenario:
    """Light to 121 degC, a lid, 110 degC, 125 degC, a lid, 118 degC; what lies beyond `minutes` does not happen."""
    steps = [
        Step(0.0, "exhaust", (0.3,)),
        Step(0.0, "order", ("light", 121.0)),
        Step(55 * MIN, "order", ("slow", 121.0)),
    ]
    steps += [Step(lid_min * MIN, "lid", (True,)), Step(lid_min * MIN + 50.0, "lid", (False,))]
    steps += [Step(down_min * MIN, "order", ("slow", 110.0)), Step(up_min * MIN, "order", ("slow", 125.0))]
    steps += [Step(150 * MIN, "lid", (True,)), Step(150 * MIN + 40.0, "lid", (False,))]
    steps += [Step(LATER_MIN * MIN, "order", ("slow", LATER_C))]
    return Scenario("tuning", "a cook to learn from", minutes * MIN, tuple(steps), "hold")


def run(cooker: Cooker, scenario: Scenario, seed: int = 1, **gains: float) -> Run:
    """One cook under the board's controller, through the bench's sensors."""
    rig = Rig(cooker.build(seed), scenario, seed, cooker.ambient_c)
    sensors, board = Sensors(seed), BoardController(**gains)
    columns: dict[str, list[Any]] = {name: [] for name in NAMES}
    truth, true_c = rig.copy().advance(1.0, 0.0, 0.0), []
    while rig.t_s < scenario.length_s - 0.5:
        meas = sensors.read(rig.t_s, 1.0, truth, "", 0.0)
        air = board.update(rig.t_s, meas, rig.target_c, rig.phase)
        out = board.controller.out
        truth = rig.advance(1.0, air["blower"], air["intake"])
        row = (rig.t_s, out.mode, out.phase, meas["pit_c"], meas["stone_c"], out.target_c, out.ref_c, out.duty)
        for name, value in zip(NAMES, (*row, out.drive, out.opening, out.p, int(out.lid_open)), strict=True):
            columns[name].append(value)
        true_c.append(truth["pit_c"])
    return Run(columns, np.array(true_c))
