"""Stands in for MicroPython's `time`: the board's clock instead of the computer's."""

from utime import *

import vb_bus


def ticks_ms():
    return vb_bus.clock_us() // 1000


def ticks_us():
    return vb_bus.clock_us()


def sleep_us(us):
    vb_bus.sleep_us(us)


def sleep_ms(ms):
    vb_bus.sleep_us(ms * 1000)


def sleep(seconds):
    vb_bus.sleep_us(int(seconds * 1000000))
