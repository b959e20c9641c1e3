"""Makes the outputs safe with as little code as can be: the first thing after a reset."""

import sys
import time

import machine

from .pins import pin_map

TONE_MS = 1000


def make_safe():
    """Blower off as a plain output; the damper's pin is not touched, so that it stays put."""
    machine.Pin(pin_map(sys.platform).BLOWER, machine.Pin.OUT, value=0)


def call_out():
    """One long tone, and the light stays on until somebody takes its pin: look at this board."""
    pins = pin_map(sys.platform)
    machine.Pin(pins.LIGHT, machine.Pin.OUT, value=1)
    buzzer = machine.Pin(pins.BUZZER, machine.Pin.OUT, value=1)
    time.sleep_ms(TONE_MS)
    buzzer.value(0)
