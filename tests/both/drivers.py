"""Drivers on wires made here: every code a converter can send, every ratio a divider can give."""

import sys

sys.path.insert(0, sys.argv[1])

from emberboard import keep, permit, settings
from emberboard.drivers.blower import Blower
from emberboard.drivers.buzzer import sounding
from emberboard.drivers.damper import Damper
from emberboard.drivers.max31856 import Max31856, cold_from, hot_from
from emberboard.drivers.thermistor import Thermistor


class Wires:
    """SPI, select pin and PWM in one: remembers what is written, answers with `words`."""

    def __init__(self):
        self.words = bytearray(b"\x11\x03\xff\x55\xd8\x7f\xff\x80\x00\x00\x19\x00\x07\x90\x00\x00")
        self.log = []

    def write(self, data):
        self.log.append(bytes(data))

    def readinto(self, buf):
        buf[:] = self.words[: len(buf)]

    def value(self, level=None):
        self.log.append(level)

    def freq(self, hertz):
        self.log.append(hertz)

    duty_u16 = freq
    duty_ns = freq


wires = Wires()
chip = Max31856(wires, wires, mains_hz=60)
print(chip.configure(), chip.pending(), chip.read(), chip.cold_c)
chip = Max31856(wires, wires)
print(chip.configure(), chip.pending(), chip.read(), chip.cold_c)
for bit in range(128):
    wires.words[bit // 8] ^= 1 << bit % 8
    value_c, fault = chip.read()
    print(bit, "-" if value_c is None else f"{value_c:.7f}", fault)
    wires.words[bit // 8] ^= 1 << bit % 8
print(wires.log[:12])
for code in range(0, 1 << 24, 99991):
    high, middle, low = code >> 16, code >> 8 & 255, code & 255
    print(f"{hot_from(high, middle, low):.7f} {cold_from(high, middle):.6f}")

probe = Thermistor(None)
for step in range(0, 1001):
    value_c, fault = probe.value_of(step / 1000)
    print("-" if value_c is None else f"{value_c:.6f}", fault)

blower, damper = Blower(wires), Damper(wires)
for drive in (0.0, 0.12345, 1.0, 2.0, -1.0, float("nan")):
    blower.set(drive)
    damper.set(drive)
print(wires.log[-14:])
print([sounding("pull", ms) for ms in range(0, 4000, 100)])
for text in ("{", '{"mains_hz": 55, "damper": 1, "broker_host": "x.local"}', '{"cooker": "yard-2"}'):
    values, troubles = settings.parse(text)
    print(sorted(values.items(), key=lambda item: item[0]), sorted(troubles))
print(keep._sum(["runaway", "boot_failed"], 2, 1), permit.PERMIT_MS + permit.CHECK_MS)
