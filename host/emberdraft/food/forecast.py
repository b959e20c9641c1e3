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

REFRESH_S = 60.0  # a new forecast at most this often; between them it counts down
SILENT_S = 60.0
QUANTILES = (0.1, 0.5, 0.9)
ODD_C, ODD_SIGMAS = 2.0, 4.0  # by how much a reading is not that of the piece, degC and of what is unknown
ODD_S = 150.0
SETTLES_S = 600.0  # a probe just put in falls to the piece's temperature first
PIT_MEDIAN_S = 360.0
CARRY_LEAST_C, CARRY_MID_C, CARRY_MOST_C = 0.5, 4.0, 14.0  # trade figures 3 to 14 degC, common practice
NO_SIZE = 0.022, 0.75  # half size in m and its log spread: from 5 mm to 10 cm


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
        self._reached = False

    def update(self, t_s: float, core_c: float | None, pit_c: float | None) -> Answer:
        """One reading: any spacing, gaps allowed. Times in s, temperatures in degC."""
        self.read(t_s, core_c, pit_c)
        if self._reached:
            return Answer(eta_s=0.0, low_s=0.0, high_s=0.0, misfit=self._misfit)
        return self._answer(t_s)

    def read(self, t_s: float, core_c: float | None, pit_c: float | None) -> None:
        """Enter a reading and ask for nothing: to catch up with a past."""
        if pit_c is not None and math.isfinite(pit_c):
            self._pit.append((t_s, pit_c))
            while len(self._pit) > 1 and t_s - self._pit[0][0] > PIT_MEDIAN_S and self._pit[0][0] < self._t_s:
                self._pit.popleft()
        if core_c is not None and math.isfinite(core_c) and self._believed(t_s, core_c):
            self._take(t_s, core_c)
        elif self._guesses is not None:
            self._advance(t_s)

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
        elif t_s - self._t_s >= self._guesses.past.step_s:
            if not self._advance(t_s):
                return
            at_c = core_c
            if before is not None and before[0] < self._t_s < t_s:
                at_c = float(np.interp(self._t_s, (before[0], t_s), (before[1], core_c)))
            self._weigh(at_c)

    def _begin(self, t_s: float, core_c: float) -> None:
        if self._guesses is None:
            self._begun_s = t_s
        self._guesses = Guesses(self._rng, self._half_m, self._half_spread, core_c)
        self._t_s = self._judged_s = t_s
        self._start_c, self._outlook = core_c, None

    def _advance(self, t_s: float) -> bool:
        """Let the guesses live up to `t_s`, as near as whole steps go; False without a pit to live in."""
        if self._guesses is None or not self._pit:
            return False
        times, values = zip(*self._pit, strict=True)
        while t_s - self._t_s >= self._guesses.past.step_s:
            step_s = self._guesses.past.step_s
            self._guesses.advance(float(np.interp(self._t_s + 0.5 * step_s, times, values)))
            self._t_s += step_s
        return True

    def _weigh(self, core_c: float) -> None:
        assert self._guesses is not None
        miss_c = self._guesses.mean(self._guesses.lived.miss_c(core_c))
        sigma_c = self._guesses.mean(np.sqrt(self._guesses.lived.error_var))
        odd = abs(miss_c) > max(ODD_C, ODD_SIGMAS * sigma_c)
        self._blame(self._t_s, odd)
        if not odd:
            self._guesses.weigh(core_c)
        elif self._odd_s > ODD_S:
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
        self._odd_s, self._outlook = 0.0, None

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
        said_s, outlook = self._outlook
        low, mid, high = (max(s - (t_s - said_s), 0.0) for s in outlook.seconds(QUANTILES, said_s - self._begun_s))
        if mid >= HORIZON_S - REFRESH_S:
            return nothing
        return Answer(eta_s=mid, low_s=low, high_s=high, misfit=self._misfit)

    def _pit_ahead_c(self) -> float:
        """What the pit will be: the median of its last six minutes, so that a lid lift is no new target."""
        now = self._pit[-1][0]
        return float(np.median([c for t, c in self._pit if now - t <= PIT_MEDIAN_S]))

    def _ahead_step_s(self) -> float:
        """About forty steps to the pull, so that a night costs what an hour does; at first as if it were half done."""
        left_s = self._t_s - self._begun_s if self._outlook is None else float(np.median(self._outlook[1].times_s))
        return next((step for step in (15.0, 30.0, 60.0) if left_s <= 40.0 * step), 120.0)


def half_size(thickness_m: float | None, mass_kg: float | None) -> tuple[float, float]:
    """Half size in m and its log spread: thickness is a good guess, mass a fair one, nothing a wide one."""
    if thickness_m is not None:
        return thickness_m / 2.0, 0.15
    if mass_kg is not None:
        # A cut three times as long and twice as wide as it is thick, 1050 kg/m3.
        return 0.5 * (mass_kg / 1050.0 / 6.0) ** (1.0 / 3.0), 0.30
    return NO_SIZE
