"""The lowest layer in place of the board's: pins and a bus that lead to simulated chips or to bytes."""

from __future__ import annotations

from emberdraft.virtual.inputs import SpiChip
from emberdraft.virtual.mcp9600_chip import Mcp9600Chip


class Line:
    """A pin: remembers its level, and calls back."""

    def __init__(self, changed=None, level=1):
        self.level = level
        self.handler = None
        self._changed = changed

    def value(self, level=None):
        if level is None:
            return self.level
        self.level = level
        if self._changed is not None:
            self._changed(level)
        return None

    def irq(self, handler=None, trigger=None):
        self.handler = handler


class ChipBus:
    """SPI to one simulated chip; `stuck` is '' or what the data line is stuck at."""

    def __init__(self, chip: SpiChip):
        self.chip = chip
        self.now_us = 0
        self.stuck = ""
        self.cs = Line(self._select)

    def _select(self, level):
        if level == 0:
            self.chip.select()

    def write(self, data):
        if self.stuck:
            return
        for byte in data:
            self.chip.transfer(byte, self.now_us)

    def readinto(self, buf):
        for k in range(len(buf)):
            byte = self.chip.transfer(0, self.now_us)
            buf[k] = {"": byte, "low": 0, "high": 255}[self.stuck]


class I2cBus:
    """I2C to one simulated chip; `stuck` lines answer to nobody."""

    def __init__(self, chip: Mcp9600Chip):
        self.chip = chip
        self.now_us = 0
        self.stuck = ""

    def writeto_mem(self, _address, register, data):
        if self.stuck or not self.chip.write(register, bytes(data), self.now_us):
            raise OSError(5)

    def readfrom_mem_into(self, _address, register, buf):
        got = None if self.stuck else self.chip.read(register, len(buf), self.now_us)
        if got is None:
            raise OSError(5)
        buf[:] = got


class Words:
    """SPI that answers every burst with the same sixteen registers."""

    def __init__(self, words):
        self.words = words
        self.cs = Line()

    def write(self, data):
        pass

    def readinto(self, buf):
        buf[:] = self.words[: len(buf)]


class Pwm:
    """Remembers what it was told."""

    def __init__(self):
        self.hertz = None
        self.u16 = None
        self.ns = None

    def freq(self, hertz):
        self.hertz = hertz

    def duty_u16(self, duty):
        self.u16 = duty

    def duty_ns(self, ns):
        self.ns = ns
