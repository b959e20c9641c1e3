"""The host's clock: unix seconds, at real time or faster for a demonstration; and the clock of a cooker's record."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

NEAR_REAL_S = 2.0  # a reading may be so long under way; more between two clocks is a step


def steady() -> tuple[Callable[[], float], bool]:
    """A clock that nobody can set, s; and whether it goes on while the computer sleeps."""
    if not hasattr(time, "CLOCK_BOOTTIME"):
        return time.monotonic, False
    return lambda: time.clock_gettime(time.CLOCK_BOOTTIME), True


class Clock:
    """Wall time in unix seconds (UTC) that runs `speed` times as fast from its start.

    A demonstration runs a whole cook in minutes; store, page and plan then need one clock that
    runs as fast as the board does. At speed 1 it is the wall clock at its start plus a steady
    clock since, so that a step of the computer's clock in mid-cook moves nothing; where the
    system has one that goes on in its sleep, it is that one.
    """

    def __init__(self, speed: float = 1.0) -> None:
        if speed <= 0.0:
            raise ValueError(f"speed {speed}: must be above 0")
        self.speed = speed
        self._steady, self._counts_sleep = steady() if speed == 1.0 else (time.monotonic, False)
        self._wall_s = time.time()
        self._begin_s, self._awake_s = self._steady(), time.monotonic()
        self.latest_s = math.inf  # it waits here; may only be moved ahead

    def now_s(self) -> float:
        """Seconds since 1970-01-01 UTC."""
        return min(self._wall_s + (self._steady() - self._begin_s) * self.speed, self.latest_s)

    def not_before(self, at_s: float) -> float:
        """Go on from `at_s` if that is ahead; by how much, s. A cook that is going on has never been in the future."""
        behind_s = max(0.0, at_s - self.now_s())
        self._wall_s += behind_s
        return behind_s

    def slept_s(self) -> float:
        """How long the computer has slept since the start, s; 0 where nobody can tell."""
        if not self._counts_sleep:
            return 0.0
        return max(0.0, (self._steady() - self._begin_s) - (time.monotonic() - self._awake_s))


class Ahead:
    """How far a cooker's record is ahead of the computer's clock, `ahead_s`; 0 unless that was moved.

    A board's readings keep their place in time over a restart of the host. If the computer's clock
    was moved meanwhile, marks and phases must go by the readings and not by the computer, or they
    would lie an hour beside them. An age is the same by both.
    """

    def __init__(self, speed: float) -> None:
        self._near_s = NEAR_REAL_S * max(1.0, speed)
        self.ahead_s = 0.0

    def follow(self, at_s: float, arrived_s: float) -> bool:
        """A live reading of the moment `at_s` arrived at `arrived_s` of the computer's clock; True if that is news."""
        ahead_s = at_s - arrived_s
        if abs(ahead_s - self.ahead_s) <= self._near_s:
            return False
        self.ahead_s = 0.0 if abs(ahead_s) <= self._near_s else ahead_s
        return True


class RecordClock(Ahead):
    """The clock of one cooker's record: where its board's readings are, there is now."""

    def __init__(self, clock: Clock) -> None:
        super().__init__(clock.speed)
        self._clock = clock
        self.speed = clock.speed

    def now_s(self) -> float:
        """Seconds since 1970-01-01 UTC, as the record has it."""
        return self._clock.now_s() + self.ahead_s
