"""When will a piece reach its pull temperature: a set of guesses, weighed by the readings as the cook goes.

Each guess is a body (size, shape, diffusivity, surface coefficient, wetness: `slabs.py`) and a place of the probe in
it. All guesses live through the same pit history; those whose probe reads what the real one reads gain weight; when few
carry all the weight the set is drawn anew around them (a particle filter with kernel shrinkage: Liu and West 2001, in
Sequential Monte Carlo Methods in Practice). The interval is the spread of the guesses' own times to the pull
temperature, widened by what the model is known not to know (`SPREAD`). A reading that fits no guess raises `misfit`:
the probe was moved, or something else happened; if it stays so the probe's place is guessed anew.
"""

from __future__ import annotations

from collections import deque
from typing import TypedDict

import numpy as np

from emberdraft.food.slabs import Array, Slabs

GUESSES = 240
STEP_S = 20.0  # the guesses are advanced and weighed once in this time
REFRESH_S = 60.0  # a new forecast at most this often; between them it counts down
HORIZON_S = 8 * 3600.0
AHEAD_STEP_S = 60.0
SILENT_S = 60.0
NOISE_C = 0.3  # probe noise and resolution, and what the model misses from one step to the next
MEMORY_S = 90.0  # readings closer than this say nearly the same thing: their weight is shared
SPREAD = 0.02  # of the time to go: what no guess knows (1 sigma)
MIN_SPREAD_S = 10.0
SHRINK = 0.97  # Liu-West kernel: how much of a drawn guess is kept, the rest is drawn to the mean
PARAMETERS = ("half_m", "shape", "alpha_m2s", "h_w_m2k", "wet")


class Answer(TypedDict):
    """Seconds from now (None: cannot say), 80 % interval, and the probability that the readings do not fit."""

    eta_s: float | None
    low_s: float | None
    high_s: float | None
    misfit: float


class PullForecast:
    """One piece. Give its thickness or mass when known: the first half hour is then less of a guess."""

    def __init__(
        self, pull_c: float, thickness_m: float | None = None, mass_kg: float | None = None, seed: int = 0
    ) -> None:
        self.pull_c = pull_c
        self._half_m, self._half_spread = _size(thickness_m, mass_kg)
        self._rng = np.random.default_rng(seed)
        self._slabs: Slabs | None = None
        self._depth: Array = np.zeros(0)
        self._log_w: Array = np.zeros(GUESSES)
        self._t_s: float | None = None  # time the guesses have been advanced to
        self._seen_s: float | None = None  # last reading of the core
        self._start_c: float | None = None
        self._pit: deque[tuple[float, float]] = deque()
        self._ahead: tuple[float, Array] | None = None  # (time, sorted times to go of a weighted draw)
        self._misfit = 0.0
        self._odd_s = 0.0
        self._core_c: float | None = None
        self._reached = False

    def update(self, t_s: float, core_c: float | None, pit_c: float | None) -> Answer:
        """One reading: any spacing, gaps allowed. Times in s, temperatures in degC."""
        if pit_c is not None and np.isfinite(pit_c):
            self._pit.append((t_s, pit_c))
            while len(self._pit) > 1 and t_s - self._pit[0][0] > 1200.0:
                self._pit.popleft()
        core_c = core_c if core_c is not None and np.isfinite(core_c) else None
        if core_c is not None:
            self._take(t_s, core_c)
        elif self._t_s is not None:
            self._advance(t_s)
        if self._reached:
            return Answer(eta_s=0.0, low_s=0.0, high_s=0.0, misfit=self._misfit)
        return self._answer(t_s)

    def peak_after_pull_c(self, rest_c: float = 22.0, rest_h_w_m2k: float = 7.0) -> tuple[float, float, float] | None:
        """Highest reading at the probe if the piece came off now: low, middle, high (80 %), degC; None: unknown."""
        if self._slabs is None or self._core_c is None:
            return None
        draw = self._draw(80)
        slabs, depth = self._slabs.copy(draw), self._depth[draw]
        slabs.h_w_m2k = np.full(draw.size, rest_h_w_m2k)
        shift = self._core_c - slabs.at(depth)
        peak = slabs.at(depth)
        for _ in range(60):
            slabs.step(60.0, rest_c)
            peak = np.maximum(peak, slabs.at(depth))
        low, mid, high = np.quantile(peak + shift, (0.1, 0.5, 0.9))
        return max(self._core_c, float(low) - 0.3), float(mid), float(high) + 0.3

    # ---- the guesses

    def _take(self, t_s: float, core_c: float) -> None:
        self._seen_s, self._core_c = t_s, core_c
        self._reached = self._reached or core_c >= self.pull_c
        if self._slabs is None:
            self._begin(t_s, core_c)
            return
        moved_s = 0.0 if self._t_s is None else t_s - self._t_s
        if moved_s >= STEP_S:
            self._advance(t_s)
            self._weigh(core_c, min(moved_s, MEMORY_S))

    def _begin(self, t_s: float, core_c: float) -> None:
        rng, n = self._rng, GUESSES
        self._slabs = Slabs(
            half_m=self._half_m * np.exp(self._half_spread * rng.standard_normal(n)),
            shape=rng.uniform(0.0, 1.2, n),
            alpha_m2s=1.38e-7 * np.exp(0.06 * rng.standard_normal(n)),
            h_w_m2k=16.0 * np.exp(0.35 * rng.standard_normal(n)),
            wet=np.exp(rng.uniform(np.log(0.01), np.log(0.5), n)),
            start_c=core_c,
        )
        self._depth = np.abs(rng.normal(0.0, 0.25, n)) % 1.0
        self._log_w = np.zeros(n)
        self._t_s, self._start_c = t_s, core_c

    def _advance(self, t_s: float) -> None:
        if self._slabs is None or self._t_s is None or not self._pit:
            return
        gap_s = t_s - self._t_s
        steps = max(1, min(240, round(gap_s / STEP_S)))
        if gap_s <= 0.0:
            return
        for i in range(steps):
            self._slabs.step(gap_s / steps, self._pit_at(self._t_s + gap_s * (i + 0.5) / steps))
        walk = np.exp(0.02 * np.sqrt(gap_s / 60.0) * self._rng.standard_normal(GUESSES))
        self._slabs.h_w_m2k = np.clip(self._slabs.h_w_m2k * walk, 4.0, 60.0)
        self._t_s = t_s

    def _pit_at(self, t_s: float) -> float:
        after = [c for t, c in self._pit if t >= t_s]
        return after[0] if after else self._pit[-1][1]

    def _weigh(self, core_c: float, moved_s: float) -> None:
        assert self._slabs is not None
        miss_c = core_c - self._slabs.at(self._depth)
        sigma_c = NOISE_C
        fit = -0.5 * (miss_c / sigma_c) ** 2 * (moved_s / MEMORY_S)
        # Heavy tails: one wild reading must not throw away all that was learnt.
        self._log_w = self._log_w + np.maximum(fit, -4.0)
        self._log_w -= self._log_w.max()
        self._judge(float(np.min(np.abs(miss_c))), float(np.abs(self._mean(miss_c))), moved_s)
        weight = self._weights()
        if 1.0 / float(np.sum(weight**2)) < GUESSES / 2.0:
            self._redraw()

    def _judge(self, nearest_c: float, mean_c: float, moved_s: float) -> None:
        """A probe that reads what no guess does, for minutes: moved or pulled. Then its place is guessed anew."""
        odd = mean_c > 3.0 or nearest_c > 1.0
        self._odd_s = self._odd_s + moved_s if odd else 0.0
        self._misfit += ((1.0 if odd else 0.0) - self._misfit) * min(1.0, moved_s / 60.0)
        if self._odd_s > 150.0:
            self._replace_probe()

    def _replace_probe(self) -> None:
        """Keep what is known of the piece, forget where the probe is: every guess is shifted to the reading."""
        assert self._slabs is not None and self._core_c is not None
        self._depth = np.abs(self._rng.normal(0.0, 0.35, GUESSES)) % 1.0
        self._slabs.temp_c += (self._core_c - self._slabs.at(self._depth))[:, None]
        self._log_w = np.zeros(GUESSES)
        self._odd_s = 0.0

    def _weights(self) -> Array:
        weight = np.exp(self._log_w)
        return np.asarray(weight / weight.sum())

    def _mean(self, values: Array) -> float:
        return float(np.sum(self._weights() * values))

    def _draw(self, count: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
        """Systematic resampling: `count` indices in proportion to the weights."""
        places = (np.arange(count) + self._rng.uniform()) / count
        return np.minimum(np.searchsorted(np.cumsum(self._weights()), places), GUESSES - 1)

    def _redraw(self) -> None:
        assert self._slabs is not None
        draw = self._draw(GUESSES)
        self._slabs, self._depth = self._slabs.copy(draw), self._depth[draw]
        for name in PARAMETERS:
            setattr(self._slabs, name, self._kernel(getattr(self._slabs, name), name != "shape"))
        self._slabs.shape = np.clip(self._slabs.shape, 0.0, 2.0)
        self._depth = np.clip(self._kernel(self._depth, False), 0.0, 0.9)
        self._log_w = np.zeros(GUESSES)

    def _kernel(self, values: Array, positive: bool) -> Array:
        """Shrink to the mean, then spread by as much as was taken: the variance stays (Liu and West)."""
        place = np.log(values) if positive else values
        mean, spread = place.mean(), max(float(place.std()), 1e-3)
        drawn = SHRINK * place + (1.0 - SHRINK) * mean
        drawn = drawn + spread * float(np.sqrt(1.0 - SHRINK**2)) * self._rng.standard_normal(values.size)
        return np.asarray(np.exp(drawn) if positive else drawn)

    # ---- the answer

    def _answer(self, t_s: float) -> Answer:
        silent = self._seen_s is None or t_s - self._seen_s > SILENT_S
        if silent or self._slabs is None or not self._can_say():
            return Answer(eta_s=None, low_s=None, high_s=None, misfit=self._misfit)
        if self._ahead is None or t_s - self._ahead[0] >= REFRESH_S:
            self._ahead = (t_s, self._times_to_go())
        times = self._ahead[1] - (t_s - self._ahead[0])
        low, mid, high = (float(max(q, 0.0)) for q in np.quantile(times, (0.1, 0.5, 0.9)))
        if mid >= HORIZON_S - REFRESH_S:
            return Answer(eta_s=None, low_s=None, high_s=None, misfit=self._misfit)
        return Answer(eta_s=mid, low_s=low, high_s=high, misfit=self._misfit)

    def _can_say(self) -> bool:
        assert self._start_c is not None and self._core_c is not None
        return bool(self._pit) and self._core_c > self._start_c + 1.0

    def _pit_ahead_c(self) -> float:
        """What the pit will be: the median of its last six minutes, so that a lid lift is no new target."""
        now = self._pit[-1][0]
        return float(np.median([c for t, c in self._pit if now - t <= 360.0]))

    def _times_to_go(self) -> Array:
        """Seconds to the pull temperature for 160 draws, noise of the unknown included."""
        assert self._slabs is not None and self._core_c is not None
        draw = self._draw(160)
        slabs, depth = self._slabs.copy(draw), self._depth[draw]
        # The guesses agree with the reading only to within the noise: the last reading is where each one starts.
        shift = self._core_c - slabs.at(depth)
        times = np.full(draw.size, HORIZON_S)
        before = slabs.at(depth) + shift
        pit_c, t_s = self._pit_ahead_c(), 0.0
        while t_s < HORIZON_S and np.count_nonzero(times == HORIZON_S) > draw.size // 20:
            slabs.step(AHEAD_STEP_S, pit_c)
            after = slabs.at(depth) + shift * np.exp(-t_s / 1200.0)
            cross = (times == HORIZON_S) & (after >= self.pull_c)
            share = (self.pull_c - before) / np.maximum(after - before, 1e-6)
            times[cross] = t_s + AHEAD_STEP_S * np.clip(share[cross], 0.0, 1.0)
            before, t_s = after, t_s + AHEAD_STEP_S
        unknown = self._rng.standard_normal(draw.size) * np.hypot(SPREAD * times, MIN_SPREAD_S)
        return np.asarray(np.maximum(times + np.where(times < HORIZON_S, unknown, 0.0), 0.0))


def _size(thickness_m: float | None, mass_kg: float | None) -> tuple[float, float]:
    """Half size in m and its log spread: thickness is a good guess, mass a fair one, nothing a wide one."""
    if thickness_m is not None:
        return thickness_m / 2.0, 0.15
    if mass_kg is not None:
        # A cut three times as long and twice as wide as it is thick, 1050 kg/m3.
        return 0.5 * (mass_kg / 1050.0 / 6.0) ** (1.0 / 3.0), 0.30
    return 0.022, 0.45
