"""A linear model of a cooker where it stands: two copies, one with a little more air, and the difference between them.

The difference is free of drift, weather and unevenness, which are the same in both. It is described by a quick path
(the gas, a first-order lag) beside a slow one (fire and walls, two lags), both behind one dead time, by least squares.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from .margins import Process
from .rig import Rig

MORE_AIR = 0.05
WATCH_S = 2400
EVERY_S = 20
QUICK_S = (10.0, 25.0, 60.0)
DELAY_S = (0.0, 15.0, 30.0, 60.0, 120.0, 200.0, 300.0, 450.0)
FIRE_S = (30.0, 90.0, 240.0, 500.0, 900.0)
WALL_S = (600.0, 1500.0, 4000.0, 12000.0)


@dataclass(frozen=True)
class TwoPaths:
    """Sum of a quick and a slow process, seen through a probe's lag."""

    quick: Process
    slow: Process
    probe_s: float

    def __call__(self, w: np.ndarray) -> np.ndarray:
        """Frequency response at angular frequencies w in rad/s: degC per unit of air."""
        return np.asarray((self.quick(w) + self.slow(w)) / (1.0 + 1j * w * self.probe_s))


def step_response(rig: Rig, blower: float, intake: float) -> np.ndarray:
    """Difference of the true pit temperature in degC per unit of blower, each EVERY_S seconds from EVERY_S on."""
    size = MORE_AIR if blower + MORE_AIR <= 1.0 else -MORE_AIR
    more, same, rows = rig.copy(), rig.copy(), []
    for second in range(1, WATCH_S + 1):
        risen_c = more.advance(1.0, blower + size, intake)["pit_c"] - same.advance(1.0, blower, intake)["pit_c"]
        if second % EVERY_S == 0:
            rows.append(risen_c / size)
    return np.asarray(rows)


def linear_model(response_c: np.ndarray, probe_s: float) -> TwoPaths:
    """The pair of paths whose sum is nearest to the response."""
    time_s = EVERY_S * (np.arange(len(response_c)) + 1.0)
    _, quick, slow = min(_fits(time_s, response_c), key=lambda row: row[0])
    return TwoPaths(quick, slow, probe_s)


def _fits(time_s: np.ndarray, response_c: np.ndarray) -> Iterator[tuple[float, Process, Process]]:
    for delay_s, quick_s, fire_s, wall_s in product(DELAY_S, QUICK_S, FIRE_S, WALL_S):
        late_s = np.maximum(time_s - delay_s, 0.0)
        quick = 1.0 - np.exp(-late_s / quick_s)
        slow = 1.0 - (wall_s * np.exp(-late_s / wall_s) - fire_s * np.exp(-late_s / fire_s)) / (wall_s - fire_s)
        quick_c, slow_c = _gains(quick, slow, response_c)
        error = float(np.sum((response_c - quick_c * quick - slow_c * slow) ** 2))
        yield error, Process(quick_c, quick_s, delay_s), Process(slow_c, wall_s, delay_s, fire_s)


def _gains(quick: np.ndarray, slow: np.ndarray, response_c: np.ndarray) -> tuple[float, float]:
    """Least squares with both gains at least 0."""
    a, b, c = float(quick @ quick), float(quick @ slow), float(slow @ slow)
    p, q = float(quick @ response_c), float(slow @ response_c)
    determinant = a * c - b * b
    if determinant > 1e-9 * a * c:
        both = (c * p - b * q) / determinant, (a * q - b * p) / determinant
        if min(both) >= 0.0:
            return both
    return 0.0, max(0.0, q / c if c else 0.0)
