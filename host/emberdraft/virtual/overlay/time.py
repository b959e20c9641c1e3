"""Stands in for MicroPython's `time`: the board's clock instead of the computer's.

The counter wraps as a board's does, at 2^30 ms (12.4 days); it begins WRAP_AFTER_MS before that, so
that every run that is longer goes through it.
"""

from utime import *

import vb_bus

PERIOD = 1 << 30
WRAP_AFTER_MS = 60000


def wrapped(ms):
    return (ms + PERIOD - WRAP_AFTER_MS) & (PERIOD - 1)


def ticks_ms():
    return wrapped(vb_bus.clock_us() // 1000)


def ticks_us():
    return vb_bus.clock_us() & (PERIOD - 1)


def ticks_add(ticks, delta):
    return (ticks + delta) & (PERIOD - 1)


def ticks_diff(end, start):
    return ((end - start + PERIOD // 2) & (PERIOD - 1)) - PERIOD // 2


def sleep_us(us):
    vb_bus.sleep_us(us)


def sleep_ms(ms):
    vb_bus.sleep_us(ms * 1000)


def sleep(seconds):
    vb_bus.sleep_us(int(seconds * 1000000))
