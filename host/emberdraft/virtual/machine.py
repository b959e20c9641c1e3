"""Interpreter and rack together: power, resets, and the pace at which board time passes."""

from __future__ import annotations

import time
from collections.abc import Callable

from emberdraft.virtual.interpreter import Ended, Hung, Interpreter
from emberdraft.virtual.overlay import vb_ops as ops
from emberdraft.virtual.rack import Rack, Reset
from emberdraft.virtual.watchdog import Bitten

BOOT_US = 300_000  # from reset to the first line of boot.py
DARK_STEP_US = 100_000
MOST_DEATHS = 3  # in a row, each within EARLY_US of its start
EARLY_US = 10_000_000


class BoardError(Exception):
    """The interpreter itself does not run; the text has the end of what it printed."""


class Pace:
    """Holds board time to `speed` times real time. A slow computer makes it late, never wrong."""

    def __init__(self, speed: float) -> None:
        self.speed = speed
        self._begun_s = time.monotonic()

    def ahead_s(self, now_us: int) -> float:
        """Real seconds to wait until board time `now_us` is due; 0 or less when it is late."""
        return self._begun_s + now_us / 1e6 / self.speed - time.monotonic()


class Machine:
    """Runs the firmware on a rack. `wait(now_us)` is called before each answer, to keep the pace."""

    def __init__(self, rack: Rack, interpreter: Interpreter, wait: Callable[[int], None]) -> None:
        self.rack = rack
        self.interpreter = interpreter
        self._wait = wait
        self._dark_until_us: int | None = None
        self._deaths = 0
        self._busy = False
        self._cut_s: float | None = None
        self.bites = 0
        self.resets = 0

    def start(self) -> None:
        """Switch on."""
        self.rack.boot()
        self.interpreter.start()

    def stop(self) -> None:
        """Switch off for good."""
        self.interpreter.kill()
        self.rack.release()

    def step(self) -> None:
        """One frame of the board, or one moment without power."""
        if self._dark_until_us is not None:
            self._stay_dark(self._dark_until_us)
            return
        try:
            self._one_frame()
        except Reset:
            self.reset()
        except Bitten:
            self._bite()
        except Hung:
            self._hang()
        except Ended:
            self._died()

    def _one_frame(self) -> None:
        data = self.interpreter.receive()
        self._busy = True
        try:
            answer = self.rack.frame(data)
            self._wait(self.rack.now_us)
        finally:
            self._busy = False
        self.interpreter.answer(answer)
        if self._cut_s is not None:
            self.power_cut(self._cut_s)

    def power_cut(self, off_s: float) -> None:
        """No power for `off_s`; the fire burns on. Asked for in the middle of a frame, it waits for its end."""
        self._cut_s = off_s if self._busy else None
        if self._busy:
            return
        self.interpreter.kill()
        self.rack.power_cycle()
        self._dark_until_us = self.rack.now_us + int(off_s * 1e6)

    def reset(self) -> None:
        """What `machine.reset()` does; a Pico resets itself through its watchdog, and says so afterwards."""
        self.resets += 1
        self._restart(ops.BY_WATCHDOG)

    def _stay_dark(self, until_us: int) -> None:
        self.rack.advance_to(min(until_us, self.rack.now_us + DARK_STEP_US))
        self._wait(self.rack.now_us)
        if self.rack.now_us >= until_us:
            self._dark_until_us = None
            self.start()

    def _hang(self) -> None:
        """It spins: board time goes on without it until the watchdog bites."""
        deadline_us = self.rack.watchdog.deadline_us
        if deadline_us is None:
            raise BoardError(f"the firmware hangs and its watchdog does not run:\n{self.interpreter.tail()}")
        try:
            self.rack.advance_to(deadline_us)
        except Bitten:
            self._bite()

    def _bite(self) -> None:
        self.bites += 1
        self._restart(ops.BY_WATCHDOG)

    def _died(self) -> None:
        early = self.rack.up_us < EARLY_US
        self._deaths = self._deaths + 1 if early else 1
        if self._deaths > MOST_DEATHS:
            raise BoardError(f"the interpreter ended by itself:\n{self.interpreter.tail()}")
        self._restart(ops.BY_SOFTWARE)

    def _restart(self, cause: int) -> None:
        self.interpreter.kill()
        self.rack.release()
        self.rack.cause = cause
        self.rack.advance_to(self.rack.now_us + BOOT_US)
        self.start()
