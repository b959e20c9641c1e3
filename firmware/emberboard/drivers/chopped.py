"""The speed of a blower whose supply is chopped: its wire is true only while the supply is on.

Two ways to have the supply on: stretch the pulse to full for FULL_MS, or look at the wire only
within the on-time of each pulse and count what changes from one look to the next. Neither says
anything of a blower that is not driven, and both keep the last answer in between.
"""

import time

from .const import const
from .tach import Tach

FULL_MS = const(200)
STRETCH_STEPS = const(10)  # 200 ms of full air in 10 s: 2 % of it
COUNT_US = const(60000)
COUNT_STEPS = const(5)
CHANGES_A_TURN = const(4)  # two pulses, each with two ends


class Stretched(Tach):
    """Full on for FULL_MS every ten steps, beside the conversions; then one pulse is measured."""

    def __init__(self, pin, time_pulse_us, blower):
        Tach.__init__(self, pin, time_pulse_us)
        self._blower = blower
        self._rpm = None
        self._steps = 0
        self._begun_ms = None
        self._drive = 0.0

    def begin(self):
        """Stretch, when it is time and there is air at all."""
        self._drive = self._blower.drive
        self._steps += 1
        self._begun_ms = None
        if self._drive <= 0.0:
            self._rpm = None
        elif self._steps >= STRETCH_STEPS or self._rpm is None:
            self._begun_ms = time.ticks_ms()
            self._blower.full()

    def read(self):
        """Turns a minute, at most ten steps old; None while the blower is not driven."""
        if self._begun_ms is not None:
            left_ms = FULL_MS - time.ticks_diff(time.ticks_ms(), self._begun_ms)
            time.sleep_ms(max(0, left_ms))
            rpm = Tach.read(self)
            self._blower.resume()
            if self._blower.drive == self._drive:  # nobody has cut the air meanwhile
                self._rpm, self._steps = rpm, 0
        return self._rpm


class Windows:
    """Looks at the wire while `supply`, the blower's own pin, is high, and counts changes."""

    def __init__(self, pin, supply, blower):
        self._pin = pin
        self._supply = supply
        self._blower = blower
        self._rpm = None
        self._steps = 0

    def begin(self):
        """Nothing to prepare."""

    def read(self):
        """Turns a minute, at most five steps old; None while the blower is not driven."""
        self._steps += 1
        if self._blower.drive <= 0.0:
            self._rpm = None
        elif self._steps >= COUNT_STEPS or self._rpm is None:
            self._steps = 0
            self._rpm = self._count() * (60e6 / (CHANGES_A_TURN * COUNT_US))
        return self._rpm

    def _count(self):
        """Changes of the wire in COUNT_US, seen from one on-time to the next."""
        wire, supply = self._pin.value, self._supply.value
        ticks_us, ticks_diff = time.ticks_us, time.ticks_diff
        begun_us = ticks_us()
        before, changes = None, 0
        while ticks_diff(ticks_us(), begun_us) < COUNT_US:
            if supply():
                level = wire()
                if not supply():
                    continue  # it went off while we looked
                if before is not None and level != before:
                    changes += 1
                before = level
        return changes
