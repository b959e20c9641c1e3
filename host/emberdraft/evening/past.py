"""What of an evening has been, where it is going on: what is known takes the place of what was drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from emberdraft.food.slabs import Array

Band = tuple[float, float, float]
BAND_SIGMAS = 1.2816  # from the middle to an end of a band of 80 %
OVERDUE_S = 300.0  # what should long have been takes so much longer in the mean. A guess, no source.


@dataclass(frozen=True)
class Past:
    """Moments in unix s by name: lit, at_heat, set_in, settled, 'A on', 'A out', climb, sear.

    `outs` and `hot`: when a piece that is in, and the stone, will be there by their own forecasts (80 % bands).
    `after_s`, `on_s`: of a piece that waits, how long after the pit has settled it goes on, and not before when.
    """

    now_s: float = -np.inf
    moments: Mapping[str, float] = field(default_factory=dict)
    outs: Mapping[str, Band] = field(default_factory=dict)
    hot: Band | None = None
    after_s: Mapping[str, float] = field(default_factory=dict)
    on_s: Mapping[str, float] = field(default_factory=dict)

    def moment(self, name: str, drawn: Array) -> Array:
        """When it was; else as drawn, in those evenings in which it has not been yet."""
        known_s = self.moments.get(name)
        return self.later(drawn) if known_s is None else np.full(drawn.size, known_s)

    def later(self, drawn: Array) -> Array:
        """The draws that lie ahead in place of those that do not; where none does it is overdue."""
        ahead = drawn > self.now_s
        if ahead.all():
            return drawn
        if not ahead.any():
            rank: Array = (np.searchsorted(np.sort(drawn), drawn).astype(float) + 0.5) / drawn.size
            return np.asarray(self.now_s - OVERDUE_S * np.log1p(-rank))
        fill = np.resize(drawn[ahead], drawn.size)
        return np.where(ahead, drawn, fill)

    def out(self, letter: str, drawn: Array, z: Array) -> Array:
        """When a piece is at its pull temperature: by its forecast, else as drawn. `z`: standard normal."""
        band = self.outs.get(letter)
        return self.later(drawn) if band is None else spread(band, self.now_s, z)


def spread(band: Band, now_s: float, z: Array) -> Array:
    """Moments as a band says: the logs of what is left are normal on either side of the middle."""
    low, mid, high = (max(at_s - now_s, 1.0) for at_s in band)
    side = np.where(z < 0.0, float(np.log(mid / low)), float(np.log(high / mid)))
    sides = np.asarray(side, dtype=float) / BAND_SIGMAS
    return np.asarray(now_s + mid * np.exp(sides * z))
