"""MAX31855K thermocouple converter on SPI: it converts by itself, ten times a second.

    chip = Max31855(spi, cs_pin)     # spi in mode 0, up to 5 MHz
    hot_c, fault = chip.read()       # hot_c is None whenever fault is not ''

The chip takes the thermocouple for a straight line of 41.276 uV/degC (data sheet, Maxim 19-5793,
page 8), which is 3.4 degC wrong at 300 degC. `true_c` takes the voltage back out of its answer
and puts the ITS-90 functions in. One word of 32 bits has the whole answer (page 10). It has no
settings that could be read back, so that a chip that is not there must show in the word itself:
reserved bits that are not 0, or nothing but zeros. What it cannot show: a word that stands still.

Type K only: the straight line is in the chip, and each type has its own chip.
"""

from .const import const
from .its90 import celsius, millivolts

_RESERVED = const(0x0000_0008)  # and bit 17, which is in the upper half
_UPPER_RESERVED = const(0x02)
_UPPER_FAULT = const(0x01)
_SHORT_VCC = const(0x04)
_SHORT_GND = const(0x02)
_OPEN = const(0x01)

HOT_LSB_C = 0.25
COLD_LSB_C = 0.0625
UV_PER_C = 41.276

# The chip's own part of the board is rated to here (data sheet, operating range).
COLDEST_BOARD_C = -40.0
HOTTEST_BOARD_C = 125.0


def true_c(shown_c, cold_c, cold_mv=None):
    """degC of the hot junction, from what the chip says of hot and cold; None if out of range.

    `cold_mv` is the cold junction's voltage where it is known already.
    """
    cold_mv = millivolts(cold_c) if cold_mv is None else cold_mv
    return celsius((shown_c - cold_c) * UV_PER_C * 1e-3 + cold_mv)


def hot_from(high, low):
    """degC of bits 31 to 18, two's complement, as the chip's straight line has it."""
    code = (high << 8 | low) >> 2
    return (code - 0x4000 if code & 0x2000 else code) * HOT_LSB_C


def cold_from(high, low):
    """degC of bits 15 to 4, two's complement."""
    code = (high << 8 | low) >> 4
    return (code - 0x1000 if code & 0x800 else code) * COLD_LSB_C


class Max31855:
    """One converter; `cs` is its select pin, active low."""

    conversion_ms = 100  # data sheet: at most 100 ms from one result to the next

    def __init__(self, spi, cs, kind="K", mains_hz=50):
        if kind != "K":
            raise ValueError("thermocouple type %s: this chip is made for K" % kind)
        self._spi = spi
        self._cs = cs
        self._word = bytearray(4)
        self.cold_c = None
        self._at_c = None  # a board's temperature stands for seconds, and its voltage takes memory
        self._at_mv = 0.0
        cs.value(1)

    def configure(self):
        """Nothing to set up; '' when the chip answers, else the fault."""
        return self.read()[1]

    def start(self):
        """The chip converts whenever it is not selected."""

    def read(self):
        """(hot junction degC, '') or (None, fault); `cold_c` is set or None with it."""
        self.cold_c = None
        self._cs.value(0)
        self._spi.readinto(self._word)
        self._cs.value(1)
        fault = self._bus_fault() or self._reported_fault()
        return (None, fault) if fault else self._value()

    def _bus_fault(self):
        """All zeros would be 0 degC on both sides: a dead line is far more likely than that."""
        word = self._word
        if word[1] & _UPPER_RESERVED or word[3] & _RESERVED:
            return "bus_high"
        return "" if any(word) else "bus_low"

    def _reported_fault(self):
        word = self._word
        if not word[1] & _UPPER_FAULT:
            # The single bits without their sum: no word that the chip ever sends.
            return "bus_high" if word[3] & 0x07 else ""
        if word[3] & _OPEN:
            return "open"
        if word[3] & _SHORT_GND:
            return "short_gnd"
        return "short_vcc" if word[3] & _SHORT_VCC else "bus_high"

    def _value(self):
        word = self._word
        cold_c = cold_from(word[2], word[3])
        if not COLDEST_BOARD_C <= cold_c <= HOTTEST_BOARD_C:
            return None, "cold_junction"
        if cold_c != self._at_c:
            self._at_c, self._at_mv = cold_c, millivolts(cold_c)
        hot_c = true_c(hot_from(word[0], word[1]), cold_c, self._at_mv)
        if hot_c is None:
            return None, "range"
        self.cold_c = cold_c
        return hot_c, ""
