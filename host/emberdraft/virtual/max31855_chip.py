"""A MAX31855K at its pins: 32 bits out, converting by itself whenever it is not selected.

Written from the data sheet (Maxim 19-5793, pages 8 and 10) and not from our driver, so that the two check each other.
The chip takes the thermocouple for a straight line of 41.276 uV/degC; which fault bit stands for what is its table.
"""

from __future__ import annotations

from collections.abc import Callable

from emberdraft.virtual.thermocouple import emf_mv

UV_PER_C = 41.276
CONVERSION_US = 100_000  # at most, from one result to the next
FAULTS = {"open": 0x1, "short_gnd": 0x2, "short_vcc": 0x4}
MODES = (0,)


def word(shown_c: float, cold_c: float, fault: int = 0) -> int:
    """The whole frame: 14 bits of 1/4 degC, the fault's mark, 12 bits of 1/16 degC, the fault's bits."""
    hot = max(-(1 << 13), min((1 << 13) - 1, round(shown_c * 4.0))) & 0x3FFF
    cold = max(-(1 << 11), min((1 << 11) - 1, round(cold_c * 16.0))) & 0xFFF
    return hot << 18 | (0x10000 if fault else 0) | cold << 4 | fault


class Max31855Chip:
    """One chip. `hot_c` and `cold_c` say what its junctions are at when it samples.

    `wiring` is '' when the thermocouple is well, else 'open', 'short_gnd', 'short_vcc' or 'reversed'.
    """

    modes = MODES

    def __init__(self, hot_c: Callable[[], float], cold_c: Callable[[], float]) -> None:
        self._hot_c = hot_c
        self._cold_c = cold_c
        self.wiring = ""
        self.frozen = False  # a chip whose conversions have stopped: its word stands still
        self.power_cycle()

    def power_cycle(self) -> None:
        """Nothing is kept, and there is no result yet."""
        self._word = 0
        self._at = 0
        self._next_us = 0

    def select(self) -> None:
        """The select pin falls: what was converted last is shifted out from its first bit."""
        self._at = 0

    def transfer(self, _byte: int, now_us: int) -> int:
        """Eight bits of the word."""
        if self._at == 0 and now_us >= self._next_us and not self.frozen:
            self._next_us = now_us + CONVERSION_US
            self._word = self._convert()
        out = self._word >> (24 - 8 * self._at) & 0xFF if self._at < 4 else 0
        self._at += 1
        return out

    def _convert(self) -> int:
        hot_c, cold_c = self._hot_c(), self._cold_c()
        volt_mv = emf_mv(hot_c) - emf_mv(cold_c)
        if self.wiring == "reversed":
            volt_mv = -volt_mv
        return word(cold_c + 1000.0 * volt_mv / UV_PER_C, cold_c, FAULTS.get(self.wiring, 0))
