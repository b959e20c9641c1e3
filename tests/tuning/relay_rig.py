"""A relay test in plain Python, to make records of known processes: the board has its own (`emberboard.core.relay`)."""

from __future__ import annotations

import numpy as np

from emberdraft.errors import UserError
from emberdraft.tuning.relay import CYCLES, Ultimate, read_off

SIZE = 0.1
UNEVEN = 0.2
LONGEST_S = 3.0 * 3600.0
STRAYS_C = 10.0
SAME = 0.15


class RelayTest:
    """`step` returns the duty, or None when the normal hold shall go on: then `done` or `stopped` says why.

    learnt_duty: what holding took before the test. The upper step is larger than the lower one by a fifth, so that the
    process's own gain shows too; near the ends of the blower both become smaller.
    """

    def __init__(self, target_c: float, learnt_duty: float, noise_c: float = 0.1, size: float = SIZE) -> None:
        room = min(learnt_duty, (1.0 - learnt_duty) / (1.0 + UNEVEN), size)
        if room < 0.02:
            raise UserError(
                f"relay: a learnt duty of {learnt_duty:.2f} leaves no room for a step; 0.02 to 0.97 would do"
            )
        self.target_c, self.learnt = target_c, learnt_duty
        self.high, self.low = learnt_duty + room * (1.0 + UNEVEN), learnt_duty - room
        self.hysteresis_c = max(0.25, 3.0 * noise_c)
        self.done, self.stopped = False, ""
        self._up = True
        self._rows: list[tuple[float, float, float]] = []
        self._rises_s: list[float] = []

    def step(self, t_s: float, pit_c: float | None, lid_open: bool = False) -> float | None:
        """One second of the test."""
        if self.done or self.stopped:
            return None
        self.stopped = self._reason(t_s, pit_c, lid_open)
        if self.stopped or pit_c is None:
            return None
        self._switch(t_s, pit_c)
        if self.done:
            return None
        duty = self.high if self._up else self.low
        self._rows.append((t_s, pit_c, duty))
        return duty

    def _reason(self, t_s: float, pit_c: float | None, lid_open: bool) -> str:
        if lid_open:
            return "the lid was opened"
        if pit_c is None or pit_c != pit_c:
            return "the pit probe has no value"
        if abs(pit_c - self.target_c) > STRAYS_C:
            return f"the pit is {abs(pit_c - self.target_c):.1f} degC from the target"
        if self._rows and t_s - self._rows[0][0] > LONGEST_S:
            return f"no steady swing within {LONGEST_S / 3600.0:.0f} h"
        return ""

    def _switch(self, t_s: float, pit_c: float) -> None:
        if self._up and pit_c > self.target_c + self.hysteresis_c:
            self._up = False
        elif not self._up and pit_c < self.target_c - self.hysteresis_c:
            self._up = True
            self._rises_s.append(t_s)
            self.done = self._steady()

    def _steady(self) -> bool:
        """The last cycles are alike: the swing has settled."""
        periods = np.diff(self._rises_s[-CYCLES - 1 :])
        return len(periods) == CYCLES and bool(np.ptp(periods) <= SAME * np.mean(periods))

    def result(self) -> Ultimate:
        """What the last cycles say of the swing, and the whole test of the process."""
        if not self.done:
            raise UserError(f"relay: not finished{': ' + self.stopped if self.stopped else ''}; nothing to read off it")
        t_s, pit_c, duty = np.array(self._rows).T
        return read_off(t_s, pit_c, duty, self._rises_s[-CYCLES - 1 :], self.learnt, self.hysteresis_c)
