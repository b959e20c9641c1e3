"""How a board's crystal walks away from the host's: 50 millionths make 8.6 s in two days.

A message is never there before it was sent: the least delay of some minutes tells where the offset should be. It creeps
towards that, so slowly that rows keep their order.
"""

from __future__ import annotations

WINDOW_S = 600.0
FASTEST = 200e-6  # of the time that passed: four times the common tolerance of a crystal (from memory)
STEP_S = 120.0  # more is no crystal: somebody moved the host's clock while the host was off


class Drift:
    """`heard` each live row; `creep_s` is asked at each commit and answers once for each window. No clock."""

    def __init__(self) -> None:
        self._begin_s: float | None = None
        self._last_s = 0.0
        self._least_s = 0.0

    def heard(self, offset_s: float, at_s: float) -> None:
        """A live row puts uptime 0 at `offset_s`, or before."""
        if self._begin_s is None:
            self._begin_s, self._least_s = at_s, offset_s
        self._last_s, self._least_s = at_s, min(self._least_s, offset_s)

    def creep_s(self, known_s: float) -> float:
        """By how much the known offset should change now, s; 0 while the window is not over, and after a step."""
        if self._begin_s is None or self._last_s - self._begin_s < WINDOW_S:
            return 0.0
        away_s, most_s = self._least_s - known_s, FASTEST * (self._last_s - self._begin_s)
        self._begin_s = None
        return 0.0 if abs(away_s) > STEP_S else max(-most_s, min(most_s, away_s))
