"""Weather around a bench run: gusts drawn from a seed, and a change of the air's temperature.

Everything is a function of time alone, so that a run repeats exactly and an optimiser may look ahead.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_right

CALM_MPS = 1.0
# Gusts as a backyard knows them (common practice, no source): a minute long, some minutes apart, 3 to 9 m/s.
GUST_GAP_S = (60.0, 300.0)
GUST_LENGTH_S = (20.0, 90.0)
GUST_MPS = (3.0, 9.0)


class Wind:
    """Wind in m/s: calm with a slow swell; between `gust` calls also gusts."""

    def __init__(self, seed: int) -> None:
        draw = random.Random(f"wind {seed}")
        self._swell_phase = draw.uniform(0.0, 2.0 * math.pi)
        self._draw = draw
        self._edges_s: list[float] = []
        self._speeds_mps: list[float] = []

    def gust(self, start_s: float, end_s: float) -> None:
        """Draw gusts for a stretch of time: at each edge the speed changes, calm in between."""
        now_s = start_s
        while now_s < end_s:
            self._add(now_s, self._draw.uniform(*GUST_MPS))
            now_s += self._draw.uniform(*GUST_LENGTH_S)
            self._add(now_s, 0.0)
            now_s += self._draw.uniform(*GUST_GAP_S)

    def _add(self, at_s: float, extra_mps: float) -> None:
        self._edges_s.append(at_s)
        self._speeds_mps.append(extra_mps)

    def at(self, t_s: float) -> float:
        """Wind speed in m/s at a time."""
        swell = CALM_MPS * (1.0 + 0.5 * math.sin(self._swell_phase + t_s / 400.0))
        place = bisect_right(self._edges_s, t_s)
        return swell + (self._speeds_mps[place - 1] if place else 0.0)


class Air:
    """Ambient temperature in degC, with at most one ramp."""

    def __init__(self, start_c: float) -> None:
        self._from_c = self._to_c = start_c
        self._start_s, self._over_s = 0.0, 1.0

    def change(self, at_s: float, by_k: float, over_s: float) -> None:
        """Begin a ramp by so many kelvin, from the temperature of this moment."""
        self._from_c = self.at(at_s)
        self._to_c = self._from_c + by_k
        self._start_s, self._over_s = at_s, over_s

    def at(self, t_s: float) -> float:
        """Ambient temperature in degC at a time."""
        share = min(1.0, max(0.0, (t_s - self._start_s) / self._over_s))
        return self._from_c + share * (self._to_c - self._from_c)
