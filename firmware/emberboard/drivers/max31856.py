"""MAX31856 thermocouple converter on SPI: start, pending, read.

    chip = Max31856(spi, cs_pin, mains_hz=50)
    chip.start()                     # then do other work for chip.conversion_ms
    hot_c, fault = chip.read()       # hot_c is None whenever fault is not ''

A reading is one burst over all sixteen registers, so that the configuration, the state of the
conversion, the fault bits and both temperatures belong together. The order of the checks is the
order of trust: is anything there, is it configured as we left it, does it report a fault, is the
conversion done, and only then the value. Nothing here waits; the caller holds the deadline.

Registers and codes: MAX31856 data sheet (Maxim 19-7534), Table 6; conversion times from its
description of CR0. The chip linearises the thermocouple itself.
"""

from .const import const

_CR0 = const(0x00)
_CJT = const(0x0A)
_LTC = const(0x0C)
_SR = const(0x0F)
_WRITE = const(0x80)
_REGISTERS = const(16)

_CR0_ONE_SHOT = const(0x40)
_CR0_OPEN_CHECK = const(0x10)  # OCFAULT 01: for leads under 5 kohm
_CR0_50_HZ = const(0x01)
_CR0_HELD = const(0xBD)  # every bit of CR0 but the two that clear themselves

_SR_COLD = const(0xB0)  # cold junction out of range, too high, too low
_SR_HOT = const(0x4C)  # thermocouple out of range, too high, too low
_SR_VOLTAGE = const(0x02)  # an input above the supply or below ground; conversions stop
_SR_OPEN = const(0x01)

_COLD_HIGH = const(85)  # degC: the parts on the board are rated to here
_COLD_LOW = const(0xD8)  # -40 degC as the chip writes it

HOT_LSB_C = 0.0078125
COLD_LSB_C = 0.015625

# Type: code in CR1, coldest and hottest reading, degC (data sheet, thermocouple ranges).
TYPES = {
    "K": (3, -200.0, 1372.0),
    "N": (4, -200.0, 1300.0),
    "T": (7, -200.0, 400.0),
}


def hot_from(high, middle, low):
    """degC of the three linearised bytes: 19 bits, two's complement, left-justified in 24."""
    code = (high << 16 | middle << 8 | low) >> 5
    if code & 0x40000:
        code -= 0x80000
    return code * HOT_LSB_C


def cold_from(high, low):
    """degC of the two cold-junction bytes: 14 bits, two's complement, left-justified in 16."""
    code = (high << 8 | low) >> 2
    if code & 0x2000:
        code -= 0x4000
    return code * COLD_LSB_C


class Max31856:
    """One converter. `spi` runs in mode 1 at up to 5 MHz; `cs` is its select pin, active low."""

    def __init__(self, spi, cs, kind="K", mains_hz=50):
        if kind not in TYPES:
            raise ValueError("thermocouple type %s: K, N or T would be right" % kind)
        if mains_hz not in (50, 60):
            raise ValueError("mains_hz %s: 50 or 60 would be right" % mains_hz)
        self._spi = spi
        self._cs = cs
        code, self._coldest_c, self._hottest_c = TYPES[kind]
        cr0 = _CR0_OPEN_CHECK | (_CR0_50_HZ if mains_hz == 50 else 0)
        # CR0, CR1, MASK (fault pin unused), cold-junction limits, widest hot limits, no offset.
        self._settings = bytes((cr0, code, 0xFF, _COLD_HIGH, _COLD_LOW, 0x7F, 0xFF, 0x80, 0, 0))
        self._configure = bytes((_CR0 | _WRITE,)) + self._settings
        self._shoot = bytes((_CR0 | _WRITE, cr0 | _CR0_ONE_SHOT))
        self._from_start = bytes((_CR0,))
        self._one = bytearray(1)
        self._all = bytearray(_REGISTERS)
        self.conversion_ms = 185 if mains_hz == 50 else 155
        self.cold_c = None
        self._deselect()

    def configure(self):
        """Write the settings and read them back; '' when the chip holds them, else the fault."""
        self._send(self._configure)
        self._read_all()
        return self._bus_fault() or self._settings_fault()

    def start(self):
        """Begin one conversion; its result can be read after `conversion_ms`."""
        self._send(self._shoot)

    def pending(self):
        """True while the conversion asked for is still running."""
        self._cs.value(0)
        self._spi.write(self._from_start)
        self._spi.readinto(self._one)
        self._deselect()
        return bool(self._one[0] & _CR0_ONE_SHOT)

    def read(self):
        """(hot junction degC, '') or (None, fault); `cold_c` is set or None with it."""
        self.cold_c = None
        self._read_all()
        fault = self._bus_fault() or self._settings_fault()
        if fault:
            self._send(self._configure)
            return None, fault
        fault = self._reported_fault()
        if fault:
            return None, fault
        return self._value()

    def _value(self):
        """Both temperatures, judged by what this thermocouple can give at all."""
        words = self._all
        if words[_LTC + 2] & 0x1F or words[_CJT + 1] & 0x03:
            return None, "bus_high"  # bits that are always 0 in the chip
        hot_c = hot_from(words[_LTC], words[_LTC + 1], words[_LTC + 2])
        if not self._coldest_c <= hot_c <= self._hottest_c:
            return None, "range"
        self.cold_c = cold_from(words[_CJT], words[_CJT + 1])
        return hot_c, ""

    def _bus_fault(self):
        """A line that is stuck reads as one value everywhere; no chip does."""
        first = self._all[0]
        if first not in (0x00, 0xFF):
            return ""
        for word in self._all:
            if word != first:
                return ""
        return "bus_high" if first else "bus_low"

    def _settings_fault(self):
        """'absent' when the chip does not hold what was written: not there, or it lost power."""
        if self._all[_CR0] & _CR0_HELD != self._settings[_CR0] & _CR0_HELD:
            return "absent"
        for k in range(1, len(self._settings)):
            if self._all[k] != self._settings[k]:
                return "absent"
        return ""

    def _reported_fault(self):
        """What the chip itself says, the wiring first: with a bad input it converts nothing."""
        status = self._all[_SR]
        if status & _SR_OPEN:
            return "open"
        if status & _SR_VOLTAGE:
            return "short_vcc"
        if self._all[_CR0] & _CR0_ONE_SHOT:
            return "late"
        if status & _SR_COLD:
            return "cold_junction"
        if status & _SR_HOT:
            return "range"
        return ""

    def _read_all(self):
        self._cs.value(0)
        self._spi.write(self._from_start)
        self._spi.readinto(self._all)
        self._deselect()

    def _send(self, words):
        self._cs.value(0)
        self._spi.write(words)
        self._deselect()

    def _deselect(self):
        self._cs.value(1)
