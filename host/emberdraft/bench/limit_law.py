"""First optimiser: the best numbers for a switching-and-holding law on the true state, by direct search.

The law: full air until the temperature, carried forward by its slope, meets the target; then proportional, integral and
slope terms around a holding level. The search (Hooke and Jeeves, J. ACM 8 (1961) 212) runs the whole story
with coarse steps for each try, and once with the bench's own step for the result.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .rig import PlantBrokeError, Rig, air

COARSE_S = 5.0
FINE_S = 1.0
# look-ahead in s, proportional band in degC, reset time in s, slope time in s, holding level of air (0..2)
STARTS: tuple[tuple[float, ...], ...] = ((300.0, 8.0, 1500.0, 200.0, 0.5), (100.0, 3.0, 900.0, 90.0, 1.1))
SPREAD = 2.0
ROUNDS = 8
SLOPE_LAG_S = 15.0


class Law:
    """The law with its memory: a reset term and a smoothed slope."""

    def __init__(self, numbers: Sequence[float]) -> None:
        self.look_s, self.band_c, self.reset_s, self.slope_s, self.hold = numbers
        self.slope_cps, self._last_c = 0.0, math.nan
        self._coming_up = True

    def level(self, dt_s: float, true_c: float, target_c: float) -> float:
        """Air level 0..2 for the next step."""
        self._watch(dt_s, true_c)
        error_c = target_c - true_c
        if error_c > 25.0:
            self._coming_up = True
        if self._coming_up and true_c + self.look_s * self.slope_cps < target_c - 0.5:
            return 2.0
        self._coming_up = False
        raw = self.hold + (error_c - self.slope_s * self.slope_cps) / self.band_c
        if 0.0 < raw < 2.0:
            self.hold += error_c * dt_s / (self.band_c * self.reset_s)
        return raw

    def _watch(self, dt_s: float, true_c: float) -> None:
        if not math.isnan(self._last_c):
            raw_cps = (true_c - self._last_c) / dt_s
            self.slope_cps += (raw_cps - self.slope_cps) * dt_s / (SLOPE_LAG_S + dt_s)
        self._last_c = true_c


def best_iae_cs(rig: Rig) -> float:
    """The smallest integral of absolute error in degC s found, of a run with the fine step."""
    tries = [_search(rig, start) for start in STARTS]
    _, numbers = min(tries)
    return run_iae_cs(rig, numbers, FINE_S)


def run_iae_cs(rig: Rig, numbers: Sequence[float], dt_s: float, give_up_cs: float = math.inf) -> float:
    """Integral of absolute error in degC s of one run of the law; ends early when it cannot become the best."""
    twin, law, total_cs, true_c = rig.copy(), Law(numbers), 0.0, rig.pit_c()
    try:
        while twin.t_s < twin.length_s - 0.5 * dt_s and total_cs < give_up_cs:
            true_c = float(twin.advance(dt_s, *air(law.level(dt_s, true_c, twin.target_c)))["pit_c"])
            total_cs += abs(true_c - twin.target_c) * dt_s
    except PlantBrokeError:
        return math.inf
    return total_cs


def _search(rig: Rig, start: Sequence[float]) -> tuple[float, tuple[float, ...]]:
    best = tuple(start)
    best_cs = run_iae_cs(rig, best, COARSE_S)
    factor = SPREAD
    for _ in range(ROUNDS):
        improved = False
        for place in range(len(best)):
            for step in (factor, 1.0 / factor):
                trial = (*best[:place], best[place] * step, *best[place + 1 :])
                trial_cs = run_iae_cs(rig, trial, COARSE_S, best_cs)
                if trial_cs < best_cs:
                    best, best_cs, improved = trial, trial_cs, True
                    break
        if not improved:
            factor = math.sqrt(factor)
    return best_cs, best
