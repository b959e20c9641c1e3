"""Makes the outputs safe with as little code as can be: the first thing after a reset."""

import sys

import machine

from .pins import pin_map


def make_safe():
    """Blower off as a plain output; the damper's pin is not touched, so that it stays put."""
    machine.Pin(pin_map(sys.platform).BLOWER, machine.Pin.OUT, value=0)
