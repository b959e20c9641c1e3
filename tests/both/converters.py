"""Converters that linearise here: type K up and down, every bit of a frame, printed by both interpreters."""

import sys

sys.path.insert(0, sys.argv[1])

from emberboard.drivers import its90
from emberboard.drivers.max31855 import Max31855
from emberboard.drivers.mcp9600 import Mcp9600, celsius_from


class Wires:
    """SPI, select pin and I2C in one."""

    def __init__(self):
        self.words = bytearray(b"\x06\x4c\x19\x00")
        self.registers = {0: b"\x07\x90", 1: b"\x06\x00", 2: b"\x01\x90", 4: b"\x40", 0x20: b"\x41"}

    def value(self, level=None):
        pass

    def readinto(self, buf):
        buf[:] = self.words

    def readfrom_mem_into(self, address, register, buf):
        buf[:] = self.registers[register]

    def writeto_mem(self, address, register, data):
        self.registers[register] = bytes(data)


def shown(reading):
    value_c, fault = reading
    return fault if value_c is None else f"{value_c:.6f}"


for temp_c in range(-200, 1373, 7):
    back_c = its90.celsius(its90.millivolts(float(temp_c)))
    print(f"{its90.millivolts(float(temp_c)):.7f}", "-" if back_c is None else f"{back_c:.6f}")
wires = Wires()
chip = Max31855(wires, wires)
for bit in range(32):
    wires.words[bit // 8] ^= 1 << bit % 8
    print(bit, shown(chip.read()), chip.cold_c)
    wires.words[bit // 8] ^= 1 << bit % 8
chip = Mcp9600(wires, 0x60)
print(chip.configure(), shown(chip.read()), chip.cold_c)
for bit in range(16):
    wires.registers[0] = bytes((0x07 ^ (1 << bit) >> 8, 0x90 ^ (1 << bit) & 255))
    print(bit, shown(chip.read()))
print([celsius_from(high, 0x80) for high in range(0, 256, 5)])
