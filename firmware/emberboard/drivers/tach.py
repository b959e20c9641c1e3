"""The blower's speed from its tachometer wire: the length of one pulse, two pulses a turn.

Four-wire fans give two pulses a turn (Intel, 4-Wire PWM Controlled Fans specification, rev 1.3,
2.1.3; from memory) and may be read at any time. A blower whose supply itself is chopped says
nothing while the supply is off: drivers/chopped.py.

One measurement waits for one pulse, at most twice LONGEST_US, and counts as standing still after.
"""

from .const import const

LONGEST_US = const(25000)  # half a turn of 600 rpm


class Tach:
    """`pin` carries the pulses, `time_pulse_us` is the board's call that measures one."""

    def __init__(self, pin, time_pulse_us):
        self._pin = pin
        self._time_pulse_us = time_pulse_us

    def begin(self):
        """Before the other sensors are read: nothing to prepare."""

    def read(self):
        """Turns a minute; 0.0 when no pulse came in time."""
        high_us = self._time_pulse_us(self._pin, 1, LONGEST_US)
        if high_us <= 0:
            return 0.0
        return 15e6 / high_us  # a pulse is high for a quarter of a turn
