"""MCP9600 and MCP9601 thermocouple converters on I2C: they convert by themselves.

    chip = Mcp9600(i2c, address=0x60)
    chip.configure()
    hot_c, fault = chip.read()       # hot_c is None whenever fault is not ''

Registers: data sheet DS20005426C, pages 24 to 28 (temperatures, status); identity, configuration
and bit 5 of the status from public drivers of the chip. A wire that is loose leaves words that
look like temperatures: 0x0101 (16.0625 degC) and 0xFFFF. So nothing is believed by itself: the
chip's name and settings are read each time, and the hot junction must be the sum that the data
sheet says it is (page 24): difference plus cold junction, to within SUM_C.
"""

from .const import const

_HOT = const(0x00)
_DELTA = const(0x01)
_COLD = const(0x02)
_STATUS = const(0x04)
_SENSOR = const(0x05)
_DEVICE = const(0x06)
_NAME = const(0x20)

_MCP9600 = const(0x40)
_MCP9601 = const(0x41)

_UPDATED = const(0x40)
_SHORT = const(0x20)  # MCP9601 only
_OPEN_OR_RANGE = const(0x10)  # MCP9601: open; MCP9600: input out of range

_LIGHT_FILTER = const(0x01)
_QUICK = const(0xA0)  # cold junction in steps of 0.25 degC (63 ms), 16 bits (80 ms)

_LSB_C = 0.0625
SUM_C = 1.0  # the two summands may be from one conversion earlier or later
COLDEST_BOARD_C = -40.0
HOTTEST_BOARD_C = 125.0

# Type: code, coldest and hottest, degC (data sheet, ranges of the types).
TYPES = {"K": (0, -200.0, 1372.0), "T": (2, -200.0, 400.0), "N": (3, -150.0, 1300.0)}


def celsius_from(high, low):
    """degC of a temperature register: 16 bits of 1/16 degC, two's complement."""
    code = high << 8 | low
    return (code - 0x10000 if code & 0x8000 else code) * _LSB_C


class Mcp9600:
    """One converter on `i2c` (`readfrom_mem_into`, `writeto_mem`; 100 kHz at most)."""

    conversion_ms = 160

    def __init__(self, i2c, address, kind="K", mains_hz=50):
        if kind not in TYPES:
            raise ValueError("thermocouple type %s: K, N or T would be right" % kind)
        self._i2c = i2c
        self._address = address
        code, self._coldest_c, self._hottest_c = TYPES[kind]
        self._sensor = bytes((code << 4 | _LIGHT_FILTER,))
        self._device = bytes((_QUICK,))
        self._none = bytes(1)
        self._one = bytearray(1)
        self._two = bytearray(2)
        self.cold_c = None

    def configure(self):
        """Write the settings and read them back; '' when the chip holds them, else the fault."""
        try:
            self._i2c.writeto_mem(self._address, _SENSOR, self._sensor)
            self._i2c.writeto_mem(self._address, _DEVICE, self._device)
            return self._identity_fault()
        except OSError:
            return "absent"

    def start(self):
        """Forget the mark of the last conversion: the next one sets it again."""
        try:
            self._i2c.writeto_mem(self._address, _STATUS, self._none)
        except OSError:
            pass  # the reading that follows says so

    def read(self):
        """(hot junction degC, '') or (None, fault); `cold_c` is set or None with it."""
        self.cold_c = None
        try:
            return self._read()
        except OSError:
            return None, "absent"

    def _read(self):
        fault = self._identity_fault()
        if fault:
            self.configure()
            return None, fault
        fault = self._reported_fault()
        if fault:
            return None, fault
        hot_c, delta_c, cold_c = self._temp(_HOT), self._temp(_DELTA), self._temp(_COLD)
        if abs(delta_c + cold_c - hot_c) > SUM_C:
            return None, "bus_high"
        if not COLDEST_BOARD_C <= cold_c <= HOTTEST_BOARD_C:
            return None, "cold_junction"
        if not self._coldest_c <= hot_c <= self._hottest_c:
            return None, "range"
        self.cold_c = cold_c
        return hot_c, ""

    def _identity_fault(self):
        """'absent' unless the chip says its name and holds what was written."""
        if self._byte(_NAME) not in (_MCP9600, _MCP9601):
            return "absent"
        held = self._byte(_SENSOR) == self._sensor[0] and self._byte(_DEVICE) == self._device[0]
        return "" if held else "absent"

    def _reported_fault(self):
        status = self._byte(_STATUS)
        if status & _OPEN_OR_RANGE:
            return "open" if self._byte(_NAME) == _MCP9601 else "range"
        if status & _SHORT:
            return "short_gnd"
        return "" if status & _UPDATED else "late"

    def _byte(self, register):
        self._i2c.readfrom_mem_into(self._address, register, self._one)
        return self._one[0]

    def _temp(self, register):
        self._i2c.readfrom_mem_into(self._address, register, self._two)
        return celsius_from(self._two[0], self._two[1])
