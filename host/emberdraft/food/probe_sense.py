"""Is the probe still in the piece? What rises faster than food can is a probe that was drawn out or moved."""

from __future__ import annotations

from collections import deque

WINDOW_S = 20.0
JUMP_C = 4.0
FASTEST_CPS = 0.2  # a 12 mm piece under 2600 W/m2 warms by 0.12 degC a second (rho 1055, cp 3500)
BACK_C = 5.0
SETTLED_S = 150.0
SETTLED_C = 4.0
UNDER_PIT_C = 15.0  # a probe that hangs in the air reads nearly the pit


class ProbeSense:
    """`out`: the reading is not that of the piece now. `moved` is true once when a new place has settled."""

    def __init__(self) -> None:
        self.out = False
        self.moved = False
        self._recent: deque[tuple[float, float]] = deque()
        self._good: tuple[float, float] | None = None
        self._settling: deque[tuple[float, float]] = deque()

    def take(self, t_s: float, core_c: float, pit_c: float | None) -> bool:
        """One reading; True when it may be believed as the core."""
        self.moved = False
        if self.out:
            self._wait(t_s, core_c, pit_c)
        elif self._jumped(t_s, core_c):
            self.out = True
            self._settling.clear()
        if self.out:
            return False
        self._good = (t_s, core_c)
        self._recent.append((t_s, core_c))
        while t_s - self._recent[0][0] > WINDOW_S and len(self._recent) > 1:
            self._recent.popleft()
        return True

    def _jumped(self, t_s: float, core_c: float) -> bool:
        if not self._recent:
            return False
        return any(core_c - c > max(JUMP_C, FASTEST_CPS * (t_s - t)) for t, c in self._recent)

    def _wait(self, t_s: float, core_c: float, pit_c: float | None) -> None:
        assert self._good is not None
        since_s, was_c = t_s - self._good[0], self._good[1]
        self._settling.append((t_s, core_c))
        while t_s - self._settling[0][0] > SETTLED_S:
            self._settling.popleft()
        back = abs(core_c - was_c) < BACK_C + since_s / 120.0 and core_c - was_c < BACK_C
        values = [c for _, c in self._settling]
        steady = since_s > SETTLED_S and max(values) - min(values) < SETTLED_C
        in_food = pit_c is not None and core_c < pit_c - UNDER_PIT_C
        if back or (steady and in_food):
            self.out, self.moved = False, not back
            self._recent.clear()
