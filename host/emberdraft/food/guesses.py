"""A set of guesses of one piece, weighed by what its probe reads: a particle filter with kernel shrinkage.

Liu and West 2001, in Sequential Monte Carlo Methods in Practice. Each guess is a body (`slabs.py`) and a place of the
probe in it. All live through the same pit; those whose probe reads what the real one reads gain weight, and when few
carry most of it the set is drawn anew around them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from emberdraft.food.slabs import Array, Slabs

COUNT = 260
SHRINK = 0.97  # how much of a drawn guess is kept, the rest is drawn to the mean
WALK, WET_WALK = 0.05, 0.05  # log change in a minute (1 sigma) of coefficient and wetness: the surface changes
LEAST_FIT = -4.0  # heavy tails: one wild reading must not throw away all that was learnt
POSITIVE = ("half_m", "alpha_m2s", "h_w_m2k", "wet", "vapour_pa", "dry_g_m2")

Indices = NDArray[np.int64]


class Guesses:
    """`slabs` and `depth` (0 centre, 1 surface) of every guess, and the log of their weights."""

    def __init__(self, rng: np.random.Generator, half_m: float, half_spread: float, start_c: float) -> None:
        n = COUNT
        self.rng = rng
        self.slabs = Slabs(
            half_m=half_m * np.exp(half_spread * rng.standard_normal(n)),
            shape=rng.uniform(0.0, 1.2, n),
            alpha_m2s=1.38e-7 * np.exp(0.06 * rng.standard_normal(n)),
            h_w_m2k=17.0 * np.exp(0.40 * rng.standard_normal(n)),
            wet=np.exp(rng.uniform(np.log(0.02), np.log(1.6), n)),
            start_c=start_c,
            vapour_pa=np.exp(rng.uniform(np.log(800.0), np.log(9000.0), n)),
            dry_g_m2=np.exp(rng.uniform(np.log(250.0), np.log(4000.0), n)),
        )
        self.depth = np.minimum(np.abs(rng.normal(0.0, 0.28, n)), 0.9)
        self.log_w = np.zeros(n)

    def advance(self, dt_s: float, pit_c: float) -> None:
        """Let time pass at a pit of `pit_c`."""
        self.slabs.step(dt_s, pit_c)
        walk = np.exp(np.sqrt(dt_s / 60.0) * self.rng.standard_normal((2, COUNT)) * [[WALK], [WET_WALK]])
        self.slabs.h_w_m2k = np.clip(self.slabs.h_w_m2k * walk[0], 4.0, 80.0)
        self.slabs.wet = np.clip(self.slabs.wet * walk[1], 0.005, 2.0)

    def miss_c(self, core_c: float) -> Array:
        """The reading less what each guess's probe reads."""
        return np.asarray(core_c - self.slabs.at(self.depth))

    def weigh(self, miss_c: Array, sigma_c: float, share: float) -> None:
        """Enter a reading; `share` of a whole one, as readings near each other say nearly the same."""
        self.log_w = self.log_w + np.maximum(-0.5 * (miss_c / sigma_c) ** 2 * share, LEAST_FIT)
        self.log_w -= self.log_w.max()
        if 1.0 / float(np.sum(self.weights() ** 2)) < COUNT / 2.0:
            self._redraw()

    def weights(self) -> Array:
        """Weights that add up to 1."""
        weight = np.exp(self.log_w)
        return np.asarray(weight / weight.sum())

    def mean(self, values: Array) -> float:
        """The weighed mean of a value a guess."""
        return float(np.sum(self.weights() * values))

    def draw(self, count: int) -> Indices:
        """Systematic resampling: `count` indices in proportion to the weights."""
        places = (np.arange(count) + self.rng.uniform()) / count
        return np.minimum(np.searchsorted(np.cumsum(self.weights()), places), COUNT - 1)

    def replace_probe(self, core_c: float) -> None:
        """Keep what is known of the piece, forget where the probe is: every guess is shifted to the reading."""
        self.depth = np.minimum(np.abs(self.rng.normal(0.0, 0.35, COUNT)), 0.9)
        self.slabs.temp_c += self.miss_c(core_c)[:, None]
        self.log_w = np.zeros(COUNT)

    def _redraw(self) -> None:
        draw = self.draw(COUNT)
        self.slabs, self.depth = self.slabs.copy(draw), self.depth[draw]
        places = [np.log(getattr(self.slabs, name)) for name in POSITIVE]
        moved = self._kernel(np.column_stack([*places, self.slabs.shape, self.depth]))
        for i, name in enumerate(POSITIVE):
            setattr(self.slabs, name, np.exp(moved[:, i]))
        self.slabs.wet = np.minimum(self.slabs.wet, 2.0)
        self.slabs.shape = np.clip(moved[:, -2], 0.0, 2.0)
        self.depth = np.clip(moved[:, -1], 0.0, 0.9)
        self.log_w = np.zeros(COUNT)

    def _kernel(self, places: Array) -> Array:
        """Shrink to the mean, then spread by as much as was taken: mean and covariance stay (Liu and West)."""
        mean = places.mean(axis=0)
        spread = np.cov(places.T) + 1e-6 * np.eye(places.shape[1])
        noise = self.rng.standard_normal(places.shape) @ np.linalg.cholesky(spread).T
        return np.asarray(SHRINK * places + (1.0 - SHRINK) * mean + np.sqrt(1.0 - SHRINK**2) * noise)
