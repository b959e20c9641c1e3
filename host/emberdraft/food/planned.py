"""What the rest adds to a piece that is still a plan: the forecast's guesses before any reading, run on to the pull."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from emberdraft.food.ahead import Outlook
from emberdraft.food.forecast import QUANTILES, half_size
from emberdraft.food.guesses import Guesses

STEP_S = 20.0
ROUNDS = 3
YARD_C = 22.0  # where it rests


@dataclass(frozen=True)
class Planned:
    """Highest at the probe in the rest and time on the grate: low, middle, high (80 %), degC and s."""

    peak_c: tuple[float, float, float]
    takes_s: tuple[float, float, float]


@lru_cache(maxsize=64)
def planned(
    pull_c: float, start_c: float, pit_c: float, thickness_m: float | None = None, mass_kg: float | None = None
) -> Planned:
    """Of a piece like that, pulled at `pull_c` from a pit of `pit_c`; the same for the same numbers."""
    rng = np.random.default_rng(0)
    outlook = Outlook(Guesses(rng, *half_size(thickness_m, mass_kg), start_c), start_c, pull_c, pit_c, STEP_S)
    low_s, mid_s, high_s = (float(q) for q in np.quantile(outlook.times_s, QUANTILES))
    return Planned(outlook.peak_c(rng, YARD_C), (low_s, mid_s, high_s))


def pull_for(
    final_c: float, start_c: float, pit_c: float, thickness_m: float | None = None, mass_kg: float | None = None
) -> float:
    """At what core to pull so that the middle of the peak is `final_c` by the rest alone, degC."""
    pull_c = final_c
    for _ in range(ROUNDS):
        rise_c = planned(pull_c, start_c, pit_c, thickness_m, mass_kg).peak_c[1] - pull_c
        pull_c = max(start_c + 1.0, final_c - rise_c)
    return pull_c
