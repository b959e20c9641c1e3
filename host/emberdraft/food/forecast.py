"""When will a piece reach its pull temperature: a set of guesses, weighed by the readings as the cook goes.

    forecast = PullForecast(57.0, thickness_m=0.038)
    forecast.update(t_s, core_c, pit_c)     # seconds to go, 80 % interval, misfit
    forecast.peak_after_pull_c()            # carry-over: low, middle, high

The guesses are in guesses.py, their physics in slabs.py, what comes in ahead.py, the probe's own state in
probe_sense.py; docs/explain/forecast.md says how far to trust it.
"""

from __future__ import annotations

import math
from collections import deque
from typing import TypedDict

import numpy as np

from emberdraft.food.ahead import HORIZON_S, Outlook
from emberdraft.food.guesses import Guesses
from emberdraft.food.probe_sense import ProbeSense

STEP_S = 20.0  # the guesses are advanced and weighed once in this time
MOST_STEPS = 240
REFRESH_S = 60.0  # a new forecast at most this often; between them it counts down
SILENT_S = 60.0
NOISE_C = 0.3  # probe noise and resolution, and what the model misses from one step to the next
MOST_NOISE_C = 1.5
MEMORY_S = 90.0  # readings closer than this say nearly the same thing: their weight is shared
# Guesses drift more than most food does, so their own 80 % holds more than 80 %: calibrated over all kinds of piece.
QUANTILES = (0.12, 0.5, 0.88)
ODD_C, ODD_NEAREST_C = 3.0, 1.0
ODD_S = 150.0
SETTLES_S = 600.0  # a probe just put in falls to the piece's temperature first
PIT_MEDIAN_S = 360.0
CARRY_LEAST_C, CARRY_MID_C, CARRY_MOST_C = 0.5, 4.0, 14.0  # trade figures 3 to 14 degC, common practice


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
        self._half_m, self._half_spread = half_size(thickness_m, mass_kg)
        self._rng = np.random.default_rng(seed)
        self._guesses: Guesses | None = None
        self._sense = ProbeSense()
        self._t_s = 0.0  # time that the guesses have been advanced to
        self._begun_s = 0.0
        self._seen: tuple[float, float] | None = None  # last reading that was believed
        self._start_c = 0.0
        self._pit: deque[tuple[float, float]] = deque()
        self._outlook: tuple[float, Outlook] | None = None
        self._misfit = 0.0
        self._odd_s = 0.0
        self._judged_s: float | None = None
        self._noise_c = NOISE_C
        self._drift_c = 0.0
        self._reached = False

    def update(self, t_s: float, core_c: float | None, pit_c: float | None) -> Answer:
        """One reading: any spacing, gaps allowed. Times in s, temperatures in degC."""
        if pit_c is not None and math.isfinite(pit_c):
            self._pit.append((t_s, pit_c))
            while len(self._pit) > 1 and t_s - self._pit[0][0] > PIT_MEDIAN_S and self._pit[0][0] < self._t_s:
                self._pit.popleft()
        if core_c is not None and math.isfinite(core_c) and self._believed(t_s, core_c):
            self._take(t_s, core_c)
        elif self._guesses is not None:
            self._advance(t_s)
        if self._reached:
            return Answer(eta_s=0.0, low_s=0.0, high_s=0.0, misfit=self._misfit)
        return self._answer(t_s)

    def aim(self, pull_c: float) -> None:
        """Another pull temperature, degC: what was learnt of the piece is kept."""
        if pull_c != self.pull_c:
            self.pull_c, self._outlook = pull_c, None
            self._reached = self._seen is not None and self._seen[1] >= pull_c

    def peak_after_pull_c(self, rest_c: float = 22.0) -> tuple[float, float, float]:
        """Highest reading at the probe when it is pulled at the pull temperature: low, middle, high (80 %), degC.

        Before anything is known of the piece it is the pull temperature with what is usual.
        """
        if self._guesses is None or self._seen is None or not self._pit:
            return self.pull_c + CARRY_LEAST_C, self.pull_c + CARRY_MID_C, self.pull_c + CARRY_MOST_C
        core_c = self._seen[1]
        outlook = Outlook(self._guesses, core_c, max(self.pull_c, core_c) if self._reached else self.pull_c,
                          self._pit_ahead_c(), self._ahead_step_s())  # fmt: skip
        return outlook.peak_c(self._rng, rest_c)

    # ---- readings

    def _believed(self, t_s: float, core_c: float) -> bool:
        """Whether the reading is that of the piece; a probe drawn out or just moved is a misfit."""
        believed = self._sense.take(t_s, core_c, self._pit[-1][1] if self._pit else None)
        if self._sense.moved and self._guesses is not None:
            self._advance(t_s)
            self._replace(core_c)
        if not believed:
            self._blame(t_s, True)
        return believed

    def _take(self, t_s: float, core_c: float) -> None:
        before, self._seen = self._seen, (t_s, core_c)
        self._reached = self._reached or core_c >= self.pull_c
        settling = t_s - self._begun_s < SETTLES_S and core_c < self._start_c - 0.5
        if self._guesses is None or settling:
            self._begin(t_s, core_c)
        elif t_s - self._t_s >= STEP_S:
            from_s = self._t_s
            self._advance(t_s)
            at_c = core_c
            if before is not None and before[0] < self._t_s < t_s:
                at_c = float(np.interp(self._t_s, (before[0], t_s), (before[1], core_c)))
            self._weigh(at_c, self._t_s - from_s)

    def _begin(self, t_s: float, core_c: float) -> None:
        if self._guesses is None:
            self._begun_s = t_s
        self._guesses = Guesses(self._rng, self._half_m, self._half_spread, core_c)
        self._t_s = self._judged_s = t_s
        self._start_c, self._outlook = core_c, None

    def _advance(self, t_s: float) -> None:
        gap_s = t_s - self._t_s
        if self._guesses is None or gap_s < STEP_S or not self._pit:
            return
        steps = min(MOST_STEPS, int(gap_s / STEP_S))
        step_s = STEP_S if gap_s <= MOST_STEPS * STEP_S else gap_s / steps
        times, values = zip(*self._pit, strict=True)
        middles = self._t_s + step_s * (np.arange(steps) + 0.5)
        for pit_c in np.interp(middles, times, values):
            self._guesses.advance(step_s, float(pit_c))
        self._t_s += steps * step_s

    def _weigh(self, core_c: float, moved_s: float) -> None:
        assert self._guesses is not None
        miss_c = self._guesses.miss_c(core_c)
        mean_c = self._guesses.mean(miss_c)
        self._drift_c += (mean_c - self._drift_c) * 0.2
        self._noise_c += (min(abs(mean_c - self._drift_c) * 1.25, MOST_NOISE_C) - self._noise_c) * 0.05
        sigma_c = max(NOISE_C, self._noise_c)
        self._blame(self._t_s, abs(mean_c) > ODD_C or float(np.min(np.abs(miss_c))) > max(ODD_NEAREST_C, 2.0 * sigma_c))
        self._guesses.weigh(miss_c, sigma_c, min(moved_s, MEMORY_S) / MEMORY_S)
        if self._odd_s > ODD_S:
            self._replace(core_c)

    def _blame(self, t_s: float, odd: bool) -> None:
        """A probe that reads what no guess does, for minutes, was moved: then its place is guessed anew."""
        passed_s = min(t_s - self._judged_s, ODD_S) if self._judged_s is not None else 0.0
        self._judged_s = t_s
        self._odd_s = self._odd_s + passed_s if odd and not self._sense.out else 0.0
        self._misfit += ((1.0 if odd else 0.0) - self._misfit) * min(1.0, passed_s / 60.0)

    def _replace(self, core_c: float) -> None:
        assert self._guesses is not None
        self._guesses.replace_probe(core_c)
        self._odd_s, self._outlook, self._drift_c = 0.0, None, 0.0

    # ---- the answer

    def _answer(self, t_s: float) -> Answer:
        nothing = Answer(eta_s=None, low_s=None, high_s=None, misfit=self._misfit)
        if self._guesses is None or self._seen is None or not self._pit or t_s - self._seen[0] > SILENT_S:
            return nothing
        if self._seen[1] <= self._start_c + 1.0:
            return nothing
        if self._outlook is None or t_s - self._outlook[0] >= REFRESH_S:
            outlook = Outlook(self._guesses, self._seen[1], self.pull_c, self._pit_ahead_c(), self._ahead_step_s())
            self._outlook = (t_s, outlook)
        times = self._outlook[1].times_s - (t_s - self._outlook[0])
        low, mid, high = (float(max(q, 0.0)) for q in np.quantile(times, QUANTILES))
        if mid >= HORIZON_S - REFRESH_S:
            return nothing
        return Answer(eta_s=mid, low_s=low, high_s=high, misfit=self._misfit)

    def _pit_ahead_c(self) -> float:
        """What the pit will be: the median of its last six minutes, so that a lid lift is no new target."""
        now = self._pit[-1][0]
        return float(np.median([c for t, c in self._pit if now - t <= PIT_MEDIAN_S]))

    def _ahead_step_s(self) -> float:
        """About forty steps to the pull, so that an hour and a night cost the same."""
        left_s = 2400.0 if self._outlook is None else float(np.median(self._outlook[1].times_s))
        return next((step for step in (15.0, 30.0, 60.0) if left_s <= 40.0 * step), 120.0)


def half_size(thickness_m: float | None, mass_kg: float | None) -> tuple[float, float]:
    """Half size in m and its log spread: thickness is a good guess, mass a fair one, nothing a wide one."""
    if thickness_m is not None:
        return thickness_m / 2.0, 0.15
    if mass_kg is not None:
        # A cut three times as long and twice as wide as it is thick, 1050 kg/m3.
        return 0.5 * (mass_kg / 1050.0 / 6.0) ** (1.0 / 3.0), 0.30
    return 0.022, 0.45
