"""Wind with gusts, the same for a seed."""

from __future__ import annotations

from random import Random


class Wind:
    """A mean wind and gusts about it: a slow and a quick random walk that forget (Ornstein-Uhlenbeck).

    `gust` is the intensity of turbulence, about 0.2 to 0.4 near the ground (from memory).
    """

    def __init__(self, seed: int = 0, gust: float = 0.3) -> None:
        self.gust = gust
        self._chance = Random(f"wind {seed}")
        self._slow = 0.0
        self._quick = 0.0

    def step(self, dt_s: float, mean_mps: float) -> float:
        """Wind speed in m/s over the next `dt_s`."""
        if mean_mps <= 0.0:
            return 0.0
        gauss = self._chance.gauss
        a, b = dt_s / 180.0, dt_s / (6.0 + dt_s)
        self._slow += -a * self._slow + 0.7 * (2.0 * a) ** 0.5 * gauss(0.0, 1.0)
        self._quick += -b * self._quick + 0.7 * (2.0 * b) ** 0.5 * gauss(0.0, 1.0)
        speed = mean_mps * (1.0 + self.gust * (self._slow + self._quick))
        return speed if speed > 0.0 else 0.0
