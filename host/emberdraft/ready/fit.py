"""Find the twin's constants from a cook's own readings: Gauss-Newton with a prior, in steps that are tried first.

Coordinates are the logs of the constants in units of their prior's spread, so that the prior is a unit normal. The
spread that is left (Laplace) is that of the linearised model; readings near each other in time err alike, so each
counts for little (`MEMORY_S`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.ready.trace import STEP_S, Array, Trace
from emberdraft.ready.twin import NAMES, Constants, Course, cold, constants, run

MISS_C = 5.0  # what so small a model misses of a real cooker, 1 sigma, pit and stone
MEMORY_S = 600.0  # and for how long it errs the same way
EVERY = 3  # steps between the readings that are compared
NUDGE = 0.05
ROUNDS = 6
DAMPING = (0.0, 0.3, 1.0, 4.0, 30.0)


@dataclass(frozen=True)
class Fit:
    """`z` the best guess, `root` a square root of its covariance, both in prior units; `miss_c` RMS of pit, stone."""

    z: Array
    root: Array
    miss_c: tuple[float, float]

    def draw(self, count: int, seed: int = 0) -> Array:
        """`count` guesses, the best one first."""
        noise = np.random.default_rng(seed).standard_normal((count, len(NAMES)))
        noise[0] = 0.0
        return np.asarray(np.clip(self.z + noise @ self.root.T, -4.0, 4.0))


def prior_fit() -> Fit:
    """Nothing known yet."""
    return Fit(np.zeros(len(NAMES)), np.eye(len(NAMES)), (float("nan"), float("nan")))


def live_through(z: Array, trace: Trace) -> tuple[Constants, Course]:
    """All guesses from lighting to the end of the trace."""
    c = constants(z)
    return c, run(c, trace, cold(c, start_c(trace)))


def start_c(trace: Trace) -> float:
    """The first pit reading: how warm all of it was when lit."""
    good = trace.pit_c[np.isfinite(trace.pit_c)]
    return float(good[0]) if good.size else trace.ambient_c


def fit(trace: Trace, start: Fit | None = None, rounds: int = ROUNDS) -> Fit:
    """The twin of the cooker that made this trace, starting from what was known before."""
    before = start or prior_fit()
    z, size = before.z.copy(), len(NAMES)
    for _ in range(rounds):
        jacobian, residual = _linear(z, trace)
        normal, pull = jacobian.T @ jacobian, jacobian.T @ residual
        tries = []
        for damping in DAMPING:
            tries.append(np.linalg.solve(normal + (1.0 + damping) * np.eye(size), pull - z))
        places = np.clip(np.vstack([z, z + np.array(tries)]), -3.5, 3.5)
        cost = _cost(places, trace)
        best = int(np.argmin(cost))
        if best == 0 or cost[0] - cost[best] < 1e-3 * cost[0]:
            break
        z = places[best]
    jacobian, residual = _linear(z, trace)
    normal = jacobian.T @ jacobian + np.eye(size)
    root = np.linalg.cholesky(np.linalg.inv(normal))
    pit, stone = _misses(z[None, :], trace)
    return Fit(z, root, (_rms(pit), _rms(stone)))


def _misses(z: Array, trace: Trace) -> tuple[Array, Array]:
    """Measured less simulated, (readings, guesses), pit and stone, NaN where nothing was measured."""
    _, course = live_through(z, trace)
    pit = trace.pit_c[::EVERY, None] - course.pit_c[::EVERY]
    pit = np.where(trace.lid[::EVERY, None] > 0.0, np.nan, pit)
    return pit, trace.stone_c[::EVERY, None] - course.stone_c[::EVERY]


def _residuals(z: Array, trace: Trace) -> Array:
    """Weighed misses, (readings, guesses)."""
    both = np.vstack(_misses(z, trace))
    weight = np.sqrt(EVERY * STEP_S / MEMORY_S) / MISS_C
    return np.asarray(np.nan_to_num(both) * weight)


def _linear(z: Array, trace: Trace) -> tuple[Array, Array]:
    size = z.size
    places = np.vstack([z, z + NUDGE * np.eye(size)])
    found = _residuals(places, trace)
    return (found[:, :1] - found[:, 1:]) / NUDGE, found[:, 0]


def _cost(places: Array, trace: Trace) -> Array:
    found = _residuals(places, trace)
    return np.asarray(np.sum(found**2, axis=0) + np.sum(places**2, axis=1))


def _rms(miss: Array) -> float:
    good = miss[np.isfinite(miss)]
    return float(np.sqrt(np.mean(good**2))) if good.size else float("nan")
