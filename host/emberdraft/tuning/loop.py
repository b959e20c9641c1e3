"""The loop as the margins see it: the model's frequency response at its working point, the PID as the board scales it.

The board multiplies kp by a schedule (the cooker it has learnt); by how much is read off the record. The observer, the
cap and the coasting around the PID are not in these margins: what they do, the replay shows.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.bench.margins import Margins, Pid, margins
from emberdraft.tuning.identify import Model
from emberdraft.tuning.model import Array, air, constants
from emberdraft.tuning.record import Cook
from emberdraft.tuning.rules import Gains

FILTER_SHARE = 5.0
MS_LIMIT = 2.0
SLOWEST_S = 7200.0


@dataclass(frozen=True)
class Linear:
    """The model near a working point: degC per unit of blower at angular frequencies."""

    slope: float
    c: dict[str, float]

    def __call__(self, w: Array) -> Array:
        """Frequency response at w in rad/s."""
        c, s = self.c, 1j * np.asarray(w)
        fire = (c["share"] + (1.0 - c["share"]) / (c["slow_s"] * s + 1.0)) / (c["quick_s"] * s + 1.0)
        wall = c["wall_per_s"] / c["soak_s"] / (s + 1.0 / c["soak_s"] + 1.0 / c["cool_s"])
        pit = s + c["loss_per_s"] + c["wall_per_s"] - wall
        return np.asarray(self.slope * c["heat_cps"] * fire * np.exp(-c["delay_s"] * s) / pit)


def linear(model: Model) -> Linear:
    """At the working point of the hold."""
    c = constants(model.fit.z)
    at, step = max(model.around_duty, 0.02), 0.01
    slope = (air(c, at + step, 1.0) - air(c, at - step, 1.0)) / (2.0 * step)
    return Linear(float(slope), c)


def loop_margins(model: Model, gains: Gains, schedule: float) -> Margins:
    """Gain margin, phase margin, Ms and delay margin of these gains on this cooker."""
    pid = Pid(gains.kp * schedule, gains.ti_s, gains.td_s, gains.td_s / FILTER_SHARE)
    return margins(linear(model), pid, max(SLOWEST_S, gains.ti_s), max(model.fopdt.delay_s, 5.0))


def schedule_of(cook: Cook, kp: float, b: float) -> float:
    """By how much the board scaled kp in this cook: P = scale kp (b (ref - target) + target - pit), by its record."""
    first, last = cook.held()
    part = slice(first, last)
    ref, target, pit, p = (cook[name][part] for name in ("ref_c", "target_c", "pit_c", "p_duty"))
    lever = b * (ref - target) + target - pit
    good = np.isfinite(lever) & np.isfinite(p) & (np.abs(lever) > 1.0) & (np.abs(p) > 0.0)
    late = good & (np.arange(last - first) > 0.3 * (last - first))
    use = late if late.sum() > 60 else good
    if use.sum() < 60 or kp <= 0.0:
        return 1.0
    return float(np.clip(np.median(p[use] / (kp * lever[use])), 0.05, 5.0))
