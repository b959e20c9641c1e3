"""From the guesses as they stand to what comes: seconds to the pull temperature, and the peak after the pull."""

from __future__ import annotations

import numpy as np

from emberdraft.food.guesses import WANDER_S, Guesses
from emberdraft.food.slabs import Array, Slabs

DRAWS = 300
HORIZON_S = 12 * 3600.0
SURFACE_WALK = 0.5  # log change of coefficient and wetness in the square root of an hour (1 sigma): surfaces change
SPREAD = 0.10  # of the time to go (1 sigma): what no guess knows, by the cover on pieces of other equations
MIN_SPREAD_S = 10.0
STEPS, LONGEST_STEP_S = 60, 240.0  # after so many steps they double: a guess that never gets there costs little
SLOWEST_CPS = 2e-4  # a plateau: below it a rate says nothing
# Pieces and pull temperatures are chosen to be ready the same day: a guess counts by its whole time to this power.
# Without it the slow guesses, of which there is no end, make the early forecasts a quarter too long.
SAME_DAY = -1.5
REST_STEP_S = 60.0
REST_STEPS = 75
REST_H_W_M2K, REST_H_SPREAD = 8.0, 0.3  # tented on a plate in still air, from memory
REST_WET = 0.3  # of the wetness in the pit: a tent keeps the vapour in
PEAK_SPREAD_C = 0.4


class Outlook:
    """Weighed guesses run on at one pit temperature until they reach the pull temperature.

    `times_s` to go (HORIZON_S: never), and the bodies at that moment, for the rest.
    """

    def __init__(self, guesses: Guesses, core_c: float, pull_c: float, pit_c: float, step_s: float) -> None:
        draw = guesses.draw(DRAWS)
        self.slabs, self.depth = guesses.slabs.copy(draw), guesses.depth[draw]
        self.wander_c, self.rng = guesses.lived.wander_c[draw], guesses.rng
        self.pull_c = pull_c
        # The guesses agree with the reading only to within their errors: the last reading is where each one starts.
        self.shift_c = core_c - self.slabs.at(self.depth)
        self.times_s = np.full(DRAWS, 0.0 if core_c >= pull_c else HORIZON_S)
        self.at_pull = self.slabs.temp_c.copy()
        if core_c < pull_c:
            self._blur(self._run(pit_c, step_s))

    def seconds(self, shares: tuple[float, ...], lived_s: float) -> list[float]:
        """Quantiles of the time to go of a piece that has been in for `lived_s`, s."""
        order = np.argsort(self.times_s)
        weight = np.maximum(lived_s + self.times_s[order], 60.0) ** SAME_DAY
        middle = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
        return [float(s) for s in np.interp(shares, middle, self.times_s[order])]

    def _run(self, pit_c: float, step_s: float) -> Array:
        """Fill in the times; how fast each one's reading rises at the pull, degC a second."""
        before, t_s = self.pull_c + np.minimum(0.0, self.slabs.at(self.depth) + self.shift_c - self.pull_c), 0.0
        rate, count = np.ones(DRAWS), 0
        while t_s < HORIZON_S and np.count_nonzero(self.times_s == HORIZON_S) > DRAWS // 20:
            was = self.slabs.temp_c
            self._change(step_s)
            self.slabs.step(step_s, pit_c)
            after = self.slabs.at(self.depth) + self.shift_c * np.exp(-t_s / WANDER_S)
            cross = (self.times_s == HORIZON_S) & (after >= self.pull_c)
            rise = np.maximum(after - before, 1e-6)
            share = np.clip((self.pull_c - before) / rise, 0.0, 1.0)[cross]
            rate[cross] = rise[cross] / step_s
            self.times_s[cross] = t_s + step_s * share
            self.at_pull[cross] = was[cross] + share[:, None] * (self.slabs.temp_c[cross] - was[cross])
            before, t_s, count = after, t_s + step_s, count + 1
            if count % STEPS == 0 and step_s < LONGEST_STEP_S:
                step_s *= 2.0
        return rate

    def _change(self, step_s: float) -> None:
        walk = SURFACE_WALK * np.sqrt(step_s / 3600.0) * self.rng.standard_normal((2, DRAWS))
        self.slabs.h_w_m2k = self.slabs.h_w_m2k * np.exp(walk[0])
        self.slabs.wet = self.slabs.wet * np.exp(walk[1])

    def _blur(self, rate: Array) -> None:
        """What comes from the error that each guess has: the reading is off by it at the pull."""
        never = self.times_s == HORIZON_S
        off_c = self.wander_c * np.sqrt(1.0 - np.exp(-2.0 * self.times_s / WANDER_S))
        off_s = np.minimum(off_c / np.maximum(rate, SLOWEST_CPS), self.times_s)
        sigma_s = np.sqrt((SPREAD * self.times_s) ** 2 + MIN_SPREAD_S**2 + off_s**2)
        later = np.maximum(self.times_s + sigma_s * self.rng.standard_normal(DRAWS), 0.0)
        self.times_s = np.where(never, HORIZON_S, later)

    def peak_c(self, rng: np.random.Generator, rest_c: float) -> tuple[float, float, float]:
        """Highest reading at the probe in the rest: low, middle, high (80 %), degC."""
        slabs, depth = self._resting(rng)
        start = slabs.at(depth)
        shift = max(self.pull_c, float(np.median(start))) - start
        peak = start
        for _ in range(REST_STEPS):
            slabs.step(REST_STEP_S, rest_c)
            now = slabs.at(depth)
            if np.all(now < peak):
                break
            peak = np.maximum(peak, now)
        peak = peak + shift + PEAK_SPREAD_C * rng.standard_normal(peak.size)
        low, mid, high = (float(q) for q in np.quantile(peak, (0.1, 0.5, 0.9)))
        floor = float(np.median(start + shift))
        return max(floor, low), max(floor, mid), max(floor, high)

    def _resting(self, rng: np.random.Generator) -> tuple[Slabs, Array]:
        there = np.flatnonzero(self.times_s < HORIZON_S)
        keep = there if there.size >= 8 else np.arange(DRAWS)
        slabs = self.slabs.copy(keep)
        slabs.temp_c = self.at_pull[keep].copy()
        slabs.h_w_m2k = REST_H_W_M2K * np.exp(REST_H_SPREAD * rng.standard_normal(keep.size))
        slabs.wet = slabs.wet * REST_WET
        return slabs, self.depth[keep]
