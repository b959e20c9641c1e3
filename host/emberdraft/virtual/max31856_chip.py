"""A MAX31856 at its pins: bytes in, bytes out, registers, conversion time and fault bits.

Written from the data sheet (Maxim 19-7534, Table 6 and the register descriptions) and not from our
driver, so that the two check each other. The chip samples its inputs when a conversion ends.
"""

from __future__ import annotations

from collections.abc import Callable

CR0, CR1, MASK, CJHF, CJLF, LTHFT, LTLFT, CJTO, CJT, LTC, SR = 0, 1, 2, 3, 4, 5, 7, 9, 10, 12, 15
POWER_ON = bytes((0x00, 0x03, 0xFF, 0x7F, 0xC0, 0x7F, 0xFF, 0x80, 0x00, 0, 0, 0, 0, 0, 0, 0))
WRITE = 0x80
ONE_SHOT, AUTO, CLEAR, OPEN_CHECK, HZ_50 = 0x40, 0x80, 0x02, 0x30, 0x01

# Coldest and hottest reading of each type that CR1 can name, degC.
RANGES_C = {
    0: (250.0, 1820.0),
    1: (-200.0, 1000.0),
    2: (-210.0, 1200.0),
    3: (-200.0, 1372.0),
    4: (-200.0, 1300.0),
    5: (-50.0, 1768.0),
    6: (-50.0, 1768.0),
    7: (-200.0, 400.0),
}


def hot_code(temp_c: float) -> int:
    """The three linearised bytes as one number: 19 bits of 1/128 degC, left-justified in 24."""
    code = max(-(1 << 18), min((1 << 18) - 1, round(temp_c * 128.0)))
    return (code & 0x7FFFF) << 5


def cold_code(temp_c: float) -> int:
    """The two cold-junction bytes as one number: 14 bits of 1/64 degC, left-justified in 16."""
    code = max(-(1 << 13), min((1 << 13) - 1, round(temp_c * 64.0)))
    return (code & 0x3FFF) << 2


def _signed(value: int, bits: int) -> int:
    return value - (1 << bits) if value >> (bits - 1) else value


class Max31856Chip:
    """One chip. `hot_c` and `cold_c` say what its junctions are at when it samples.

    `wiring` is '' when the thermocouple is well, else 'open', 'short_vcc' or 'reversed'.
    """

    modes = (1, 3)

    def __init__(self, hot_c: Callable[[], float], cold_c: Callable[[], float]) -> None:
        self._hot_c = hot_c
        self._cold_c = cold_c
        self.wiring = ""
        self.power_cycle()

    def power_cycle(self) -> None:
        """Registers as after power-on: nothing that was configured is kept."""
        self.registers = bytearray(POWER_ON)
        self._at: int | None = None
        self._writing = False
        self._ready_us: int | None = None

    def select(self) -> None:
        """The select pin falls: the next byte is an address."""
        self._at = None

    def transfer(self, byte: int, now_us: int) -> int:
        """One byte in, one byte out; the address moves on by itself."""
        self._settle(now_us)
        if self._at is None:
            self._at, self._writing = byte & 0x0F, bool(byte & WRITE)
            return 0xFF
        at, self._at = self._at, (self._at + 1) & 0x0F
        if self._writing:
            self._store(at, byte, now_us)
        return self.registers[at]

    def _store(self, at: int, byte: int, now_us: int) -> None:
        if at >= CJT:
            return
        self.registers[at] = byte
        if at != CR0:
            return
        if byte & CLEAR:
            self.registers[CR0] &= ~CLEAR
            self.registers[SR] = 0
        if byte & (ONE_SHOT | AUTO):
            self._ready_us = now_us + self._conversion_us(first=True)

    def _conversion_us(self, first: bool) -> int:
        """One conversion; averaging adds whole mains periods, the cold junction 25 ms."""
        cr0, slow = self.registers[CR0], bool(self.registers[CR0] & HZ_50)
        samples = min(16, 1 << (self.registers[CR1] >> 4 & 7))
        if first:
            time_us = 169_000 if slow else 143_000
            time_us += (samples - 1) * (40_000 if slow else 33_330)
        else:
            time_us = 98_000 if slow else 82_000
            time_us += (samples - 1) * (20_000 if slow else 16_670)
        return time_us - (25_000 if cr0 & 0x08 else 0)

    def _settle(self, now_us: int) -> None:
        """Finish a conversion whose time has come; a bad voltage holds it up."""
        self._voltage_fault()
        if self._ready_us is None or now_us < self._ready_us or self.wiring == "short_vcc":
            return
        self._convert()
        if self.registers[CR0] & AUTO:
            self._ready_us = now_us + self._conversion_us(first=False)
        else:
            self._ready_us = None
            self.registers[CR0] &= ~ONE_SHOT

    def _voltage_fault(self) -> None:
        if self.wiring == "short_vcc":
            self.registers[SR] |= 0x02
        else:
            self.registers[SR] &= ~0x02

    def _convert(self) -> None:
        cold_c = self._cold_c() + _signed(self.registers[CJTO], 8) / 16.0
        hot_c = self._hot_c()
        if self.wiring == "reversed":
            hot_c = 2.0 * cold_c - hot_c
        is_open = self.wiring == "open" and bool(self.registers[CR0] & OPEN_CHECK)
        if is_open:
            hot_c = 1372.0
        self.registers[SR] = self._status(hot_c, cold_c) | (0x01 if is_open else 0)
        self.registers[CJT : CJT + 2] = cold_code(cold_c).to_bytes(2, "big")
        self.registers[LTC : LTC + 3] = hot_code(hot_c).to_bytes(3, "big")

    def _status(self, hot_c: float, cold_c: float) -> int:
        words = self.registers
        coldest_c, hottest_c = RANGES_C.get(words[CR1] & 0x0F, (-1e9, 1e9))
        high_c = _signed(int.from_bytes(words[LTHFT : LTHFT + 2], "big"), 16) / 16.0
        low_c = _signed(int.from_bytes(words[LTLFT : LTLFT + 2], "big"), 16) / 16.0
        checks = (
            (0x80, not -55.0 <= cold_c <= 125.0),
            (0x40, not coldest_c <= hot_c <= hottest_c),
            (0x20, cold_c > _signed(words[CJHF], 8)),
            (0x10, cold_c < _signed(words[CJLF], 8)),
            (0x08, hot_c > high_c),
            (0x04, hot_c < low_c),
        )
        return sum(bit for bit, wrong in checks if wrong)
