"""Probes that only some strangers have: a slow thermowell, and one that is coarse, drifts and now and then lies."""

from __future__ import annotations

import math
import random
from typing import Any

from emberdraft.bench.sensors import Sensors, quantise

WELL_LAG_S = (40.0, 80.0)
COARSE_C = (0.25, 0.5, 1.0)
DRIFT_C = 0.8
OUTLIER_EVERY_S = 500.0
OUTLIER_C = (4.0, 25.0)


class Thermowell(Sensors):
    """The pit's probe sits in a heavy tube: one lag more."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self._well_s = random.Random(f"well {seed}").uniform(*WELL_LAG_S)
        self._well_c: float | None = None

    def read(self, t_s: float, dt_s: float, truth: dict[str, Any], fault: str, offset_c: float) -> dict[str, Any]:
        true_c = truth["pit_c"]
        self._well_c = true_c if self._well_c is None else self._well_c
        self._well_c += (true_c - self._well_c) * -math.expm1(-dt_s / self._well_s)
        return super().read(t_s, dt_s, {**truth, "pit_c": self._well_c}, fault, offset_c)


class Poor(Sensors):
    """Steps of 0.25 to 1 degC, an offset that wanders within 0.8 degC, single samples that are far off."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self._chance = random.Random(f"poor {seed}")
        self._step_c = self._chance.choice(COARSE_C)
        self._periods_s = [self._chance.uniform(1500.0, 9000.0) for _ in range(2)]

    def read(self, t_s: float, dt_s: float, truth: dict[str, Any], fault: str, offset_c: float) -> dict[str, Any]:
        wander_c = 0.5 * DRIFT_C * sum(math.sin(2.0 * math.pi * t_s / period_s) for period_s in self._periods_s)
        meas = super().read(t_s, dt_s, {**truth, "pit_c": truth["pit_c"] + wander_c}, fault, offset_c)
        lies = self._chance.random() < dt_s / OUTLIER_EVERY_S
        lie_c = self._chance.choice((-1.0, 1.0)) * self._chance.uniform(*OUTLIER_C)
        if meas["pit_c"] is not None:
            meas["pit_c"] = quantise(meas["pit_c"] + (lie_c if lies and fault != "frozen" else 0.0), self._step_c)
        return meas
