"""The host's clock: unix seconds, at real time or faster for a demonstration."""

from __future__ import annotations

import math
import time


class Clock:
    """Wall time in unix seconds (UTC) that runs `speed` times as fast from its start.

    A demonstration runs a whole cook in minutes; store, page and plan then need one clock that
    runs as fast as the board does. At speed 1 it is the wall clock at its start plus the
    monotonic clock since, so that a step of the computer's clock in mid-cook moves nothing.
    """

    def __init__(self, speed: float = 1.0) -> None:
        if speed <= 0.0:
            raise ValueError(f"speed {speed}: must be above 0")
        self.speed = speed
        self._wall_s = time.time()
        self._mono_s = time.monotonic()
        self.latest_s = math.inf  # it waits here; may only be moved ahead

    def now_s(self) -> float:
        """Seconds since 1970-01-01 UTC."""
        return min(self._wall_s + (time.monotonic() - self._mono_s) * self.speed, self.latest_s)
