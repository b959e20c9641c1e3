"""An MCP9600 or MCP9601 on its bus: registers, conversions that go on by themselves, status bits.

Written from the data sheet (Microchip DS20005426C, pages 24 to 28: temperatures, status, configuration) and not from
our driver; identity, and the bits of an open or shorted MCP9601 (bit 4 means open there, out of range on an MCP9600),
as public drivers of the chip have them. The hot junction is the sum of difference and cold junction, as page 24 says.
"""

from __future__ import annotations

from collections.abc import Callable

HOT, DELTA, COLD, STATUS, SENSOR, DEVICE, NAME = 0, 1, 2, 4, 5, 6, 0x20
WIDTHS = {HOT: 2, DELTA: 2, COLD: 2, 3: 3, STATUS: 1, SENSOR: 1, DEVICE: 1, NAME: 2}
NAMES = {"mcp9600": 0x40, "mcp9601": 0x41}
UPDATED, SHORT, INPUT = 0x40, 0x20, 0x10
RANGES_C = {0: (-200.0, 1372.0), 1: (-210.0, 1200.0), 2: (-200.0, 400.0), 3: (-150.0, 1300.0)}
HOT_US = (320_000, 80_000, 20_000, 5_000)  # 18, 16, 14, 12 bits
COLD_US = (250_000, 63_000)
ASLEEP = 0x01


def register(temp_c: float) -> bytes:
    """A temperature's two bytes: 1/16 degC, two's complement, high byte first."""
    code = max(-(1 << 15), min((1 << 15) - 1, round(temp_c * 16.0)))
    return code.to_bytes(2, "big", signed=True)


class Mcp9600Chip:
    """One chip. `wiring` is '' when all is well, else 'open', 'short_gnd', 'short_vcc', 'reversed' or 'gone'."""

    def __init__(self, hot_c: Callable[[], float], cold_c: Callable[[], float], kind: str = "mcp9600") -> None:
        self._hot_c = hot_c
        self._cold_c = cold_c
        self._kind = kind
        self.wiring = ""
        self.power_cycle()

    def power_cycle(self) -> None:
        """Registers as after power-on; the temperatures hold what field reports show before a first conversion."""
        self._held = {HOT: b"\x01\x01", DELTA: b"\0\0", COLD: b"\0\0", 3: b"\0\0\0"}
        self._held |= {STATUS: b"\0", SENSOR: b"\0", DEVICE: b"\0", NAME: bytes((NAMES[self._kind], 0x20))}
        self._filtered_c: float | None = None
        self._next_us = 0

    def write(self, at: int, data: bytes, now_us: int) -> bool:
        """Bytes into a register; False when nobody answers."""
        if self.wiring == "gone":
            return False
        self._settle(now_us)
        if at in (STATUS, SENSOR, DEVICE):
            self._held[at] = data[:1]
        if at == DEVICE:
            self._next_us = now_us + self._takes_us()
        return True

    def read(self, at: int, count: int, now_us: int) -> bytes | None:
        """Bytes of a register, or None when nobody answers."""
        if self.wiring == "gone":
            return None
        self._settle(now_us)
        return (self._held.get(at, b"") + bytes(count))[:count]

    def _takes_us(self) -> int:
        device = self._held[DEVICE][0]
        return HOT_US[device >> 5 & 3] + COLD_US[device >> 7]

    def _settle(self, now_us: int) -> None:
        """Finish a conversion whose time has come and begin the next."""
        if now_us < self._next_us or self._held[DEVICE][0] & 0x03 == ASLEEP:
            return
        self._next_us = now_us + self._takes_us()
        hot_c, cold_c = self._hot_c(), self._cold_c()
        if self.wiring == "reversed":
            hot_c = 2.0 * cold_c - hot_c
        self._held[STATUS] = bytes((UPDATED | self._status(hot_c),))
        if self.wiring not in ("open", "short_vcc"):
            hot_c = self._filter(hot_c)
            self._held[DELTA], self._held[COLD] = register(hot_c - cold_c), register(cold_c)
            self._held[HOT] = register(round((hot_c - cold_c) * 16.0) / 16.0 + round(cold_c * 16.0) / 16.0)

    def _status(self, hot_c: float) -> int:
        coldest_c, hottest_c = RANGES_C.get(self._held[SENSOR][0] >> 4 & 7, (-1e9, 1e9))
        outside = self._kind == "mcp9600" and not coldest_c <= hot_c <= hottest_c
        outside = outside or self.wiring in ("open", "short_vcc")
        short = self.wiring == "short_gnd" and self._kind == "mcp9601"
        return (INPUT if outside else 0) | (SHORT if short else 0)

    def _filter(self, hot_c: float) -> float:
        """The chip's own smoothing: k = 2 / (2^n + 1) (data sheet, filter equation)."""
        share = 2.0 / (2 ** (self._held[SENSOR][0] & 0x07) + 1.0)
        before_c = self._filtered_c
        self._filtered_c = hot_c if before_c is None else before_c + share * (hot_c - before_c)
        return self._filtered_c
