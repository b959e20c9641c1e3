"""What a controller on the bench sees instead of the truth: lag, cold-junction drift, noise, resolution, faults.

Every controller of a run gets the same seeded sensors. Resolution is that of a 0.25 degC thermocouple chip; lags are
those of a sheathed probe in moving air, and the drift stands for the cold junction in a warming box (both drawn from
ranges by seed; common practice, no source).
"""

from __future__ import annotations

import math
import random
from typing import Any

RESOLUTION_C = 0.25
LAG_S = (4.0, 20.0)
NOISE_C = (0.08, 0.30)
DRIFT_C = (0.0, 0.30)
DRIFT_PERIOD_S = (7200.0, 14400.0)


class Probe:
    """One thermocouple: first-order lag, then drift, noise and quantisation. Temperatures in degC."""

    def __init__(self, seed: str, resolution_c: float = RESOLUTION_C) -> None:
        self._draw = random.Random(f"probe {seed}")
        self.resolution_c = resolution_c
        self.lag_s = self._draw.uniform(*LAG_S)
        self.noise_c = self._draw.uniform(*NOISE_C)
        self.drift_c = self._draw.uniform(*DRIFT_C)
        self._period_s = self._draw.uniform(*DRIFT_PERIOD_S)
        self._bead_c: float | None = None

    def read(self, t_s: float, dt_s: float, true_c: float) -> float:
        """The reading now; the drift starts at zero and comes and goes over hours."""
        if self._bead_c is None:
            self._bead_c = true_c
        self._bead_c += (true_c - self._bead_c) * -math.expm1(-dt_s / self.lag_s)
        drift_c = self.drift_c * math.sin(2.0 * math.pi * t_s / self._period_s)
        return quantise(self._bead_c + drift_c + self._draw.gauss(0.0, self.noise_c), self.resolution_c)


def quantise(value: float, step: float) -> float:
    """Round to the nearest multiple of the step."""
    return math.floor(value / step + 0.5) * step


class Sensors:
    """All channels of one run, read once a second; gives `meas` as the controllers take it."""

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._pit = Probe(f"pit {seed}")
        self._stone = Probe(f"stone {seed}")
        self._cores: dict[int, Probe] = {}
        self._frozen_c: float | None = None

    @property
    def pit_lag_s(self) -> float:
        """Time constant of the pit's probe in s."""
        return self._pit.lag_s

    def read(self, t_s: float, dt_s: float, truth: dict[str, Any], fault: str, offset_c: float) -> dict[str, Any]:
        """`fault` is '', 'open', 'short', 'offset' or 'frozen', and is the pit's."""
        pit_c: float | None = self._pit.read(t_s, dt_s, truth["pit_c"])
        self._frozen_c = (pit_c if self._frozen_c is None else self._frozen_c) if fault == "frozen" else None
        if fault in ("open", "short"):
            pit_c = None
        elif fault == "offset" and pit_c is not None:
            pit_c += offset_c
        elif fault == "frozen":
            pit_c = self._frozen_c
        return {
            "pit_c": pit_c,
            "stone_c": self._stone.read(t_s, dt_s, truth["stone_c"]),
            "core_c": [self._core(i, t_s, dt_s, true_c) for i, true_c in enumerate(truth["core_c"])],
            "fault": fault if fault in ("open", "short") else "",
        }

    def _core(self, index: int, t_s: float, dt_s: float, true_c: float | None) -> float | None:
        if true_c is None:
            return None
        if index not in self._cores:
            self._cores[index] = Probe(f"core {index} {self._seed}")
        return self._cores[index].read(t_s, dt_s, true_c)
