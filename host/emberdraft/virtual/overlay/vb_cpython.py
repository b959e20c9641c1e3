"""The same board under CPython, for computers that have no MicroPython: its calls, its clock.

CPython's asyncio asks its loop for the time and its selector to wait; both are answered by the
board's clock. What MicroPython has and CPython lacks is added to the modules the firmware imports.
"""

import asyncio
import gc
import os
import selectors
import sys
import time
import types

import vb_bus


class BoardSelector(selectors.SelectSelector):
    """Waits on the board's clock; what the computer has ready is looked at without waiting."""

    def select(self, timeout=None):
        ready = super().select(0)
        if not ready:
            vb_bus.idle(vb_bus.STRIDE_US if timeout is None else int(timeout * 1e6 + 0.5))
        return ready


class BoardLoop(asyncio.SelectorEventLoop):
    def __init__(self):
        super().__init__(BoardSelector())
        self._clock_resolution = 1e-6

    def time(self):
        return vb_bus.clock_us() / 1e6


def _run(coro):
    with asyncio.Runner(loop_factory=BoardLoop) as runner:
        return runner.run(coro)


def _time():
    """MicroPython's clock calls. Its period is 2 ** 30 ms on a board; no run here is that long."""
    time.ticks_ms = lambda: vb_bus.clock_us() // 1000
    time.ticks_us = vb_bus.clock_us
    time.ticks_diff = lambda end, start: end - start
    time.ticks_add = lambda ticks, delta: ticks + delta
    time.sleep_ms = lambda ms: vb_bus.sleep_us(ms * 1000)
    time.sleep_us = vb_bus.sleep_us
    time.sleep = lambda seconds: vb_bus.sleep_us(int(seconds * 1000000))


def _random():
    """Repeatable bytes, from a xorshift as on the MicroPython side."""
    state = [vb_bus.seed or 1]

    def urandom(count):
        out = bytearray(count)
        for k in range(count):
            word = state[0]
            word ^= (word << 13) & 0xFFFFFFFF
            word ^= word >> 17
            word ^= (word << 5) & 0xFFFFFFFF
            state[0] = word
            out[k] = word >> 11 & 255
        return bytes(out)

    os.urandom = urandom


def _print_exception(error, file=None):
    import traceback

    traceback.print_exception(error, file=file or sys.stdout)


def install():
    """Make CPython answer to the names that the firmware uses."""
    micropython = types.ModuleType("micropython")
    micropython.const = lambda value: value
    sys.modules["micropython"] = micropython
    sys.print_exception = _print_exception
    gc.mem_free = gc.mem_alloc = lambda: 0
    gc.threshold = lambda *_bytes: None
    _time()
    _random()
    asyncio.run = _run
    asyncio.sleep_ms = lambda ms: asyncio.sleep(ms / 1000)
