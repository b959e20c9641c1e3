"""Guessing made slow: after each failure a longer wait before the next try is looked at at all."""

from __future__ import annotations

FIRST_S = 1.0
LONGEST_S = 64.0
FORGET_S = 900.0
MOST_KEYS = 256
FREE = 20  # failures of all together before they make everybody wait
ALL = "*"


class Slow:
    """Failures by where they come from, and of all together. Time is passed in."""

    def __init__(self) -> None:
        self._failed: dict[str, tuple[int, float]] = {}  # key -> (how often, when last)

    def wait_s(self, key: str, now_s: float) -> float:
        """How long `key` must still wait; 0 = it may try now."""
        return max(self._of(key, now_s, 0), self._of(ALL, now_s, FREE))

    def failed(self, key: str, now_s: float) -> None:
        """A try of `key` was wrong."""
        for each in (key, ALL):
            count, at_s = self._failed.pop(each, (0, now_s))
            self._failed[each] = (1 if now_s - at_s > FORGET_S else count + 1, now_s)
        while len(self._failed) > MOST_KEYS:
            self._failed.pop(next(each for each in self._failed if each != ALL))

    def passed(self, key: str) -> None:
        """A try of `key` was right."""
        self._failed.pop(key, None)

    def _of(self, key: str, now_s: float, free: int) -> float:
        count, at_s = self._failed.get(key, (0, 0.0))
        over = count - free
        if over <= 0 or now_s - at_s > FORGET_S:
            return 0.0
        return max(0.0, at_s + min(LONGEST_S, FIRST_S * 2.0 ** min(over - 1, 10)) - now_s)
