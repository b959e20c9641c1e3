"""From the guesses as they stand to what comes: seconds to the pull temperature, and the peak after the pull."""

from __future__ import annotations

import numpy as np

from emberdraft.food.guesses import Guesses
from emberdraft.food.slabs import Array, Slabs

DRAWS = 160
HORIZON_S = 12 * 3600.0
SPREAD = 0.015  # of the time to go: what no guess knows (1 sigma)
MIN_SPREAD_S = 10.0
FADE_S = 1200.0  # a guess that misses the reading a little comes back to its own course in this time
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
        self.pull_c = pull_c
        # The guesses agree with the reading only to within the noise: the last reading is where each one starts.
        self.shift_c = core_c - self.slabs.at(self.depth)
        self.times_s = np.full(DRAWS, 0.0 if core_c >= pull_c else HORIZON_S)
        self.at_pull = self.slabs.temp_c.copy()
        if core_c < pull_c:
            self._run(pit_c, step_s)
            self._blur(guesses.rng)

    def _run(self, pit_c: float, step_s: float) -> None:
        before, t_s = self.pull_c + np.minimum(0.0, self.slabs.at(self.depth) + self.shift_c - self.pull_c), 0.0
        while t_s < HORIZON_S and np.count_nonzero(self.times_s == HORIZON_S) > DRAWS // 20:
            was = self.slabs.temp_c
            self.slabs.step(step_s, pit_c)
            after = self.slabs.at(self.depth) + self.shift_c * np.exp(-t_s / FADE_S)
            cross = (self.times_s == HORIZON_S) & (after >= self.pull_c)
            share = np.clip((self.pull_c - before) / np.maximum(after - before, 1e-6), 0.0, 1.0)[cross]
            self.times_s[cross] = t_s + step_s * share
            self.at_pull[cross] = was[cross] + share[:, None] * (self.slabs.temp_c[cross] - was[cross])
            before, t_s = after, t_s + step_s

    def _blur(self, rng: np.random.Generator) -> None:
        never = self.times_s == HORIZON_S
        noise = rng.standard_normal(DRAWS) * np.hypot(SPREAD * self.times_s, MIN_SPREAD_S)
        self.times_s = np.where(never, HORIZON_S, np.maximum(self.times_s + noise, 0.0))

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
