"""Everything that a virtual board measures with: converters on SPI or I2C, probes and the rest on analogue pins."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from emberboard.boards import virtual as pins
from emberdraft.errors import UserError
from emberdraft.virtual.fitted import Fitted
from emberdraft.virtual.max31855_chip import Max31855Chip
from emberdraft.virtual.max31856_chip import Max31856Chip
from emberdraft.virtual.mcp9600_chip import Mcp9600Chip
from emberdraft.virtual.probes import FULL_SCALE, ThermistorProbe

SpiChip = Max31856Chip | Max31855Chip
ADDRESSES = (0x60, 0x67)  # pit: ADDR at ground; stone: ADDR at the supply
POT_COUNTS = (6554, 58982)  # a servo's pot at its ends
MIDDLE = FULL_SCALE // 2  # of the end switches' ladder
REFERENCE_V, DIVIDER = 3.3, 57.0 / 10.0  # 47 kohm over 10 kohm


class Inputs:
    """Chips and probes around a world. `wiring` of each is '' or what is wrong with its wire."""

    def __init__(self, world: Any, fitted: Fitted) -> None:
        self._world = world
        self._fitted = fitted
        self.bus = ""  # '' well, 'low' or 'high': what a stuck data line reads as
        self.position: Callable[[], float | None] = lambda: None  # of the damper
        self.position_wire_off = False
        self.selects = {pin: 0 for pin in pins.MUX}
        self._spi: dict[int, SpiChip] = {}
        self._i2c: dict[int, Mcp9600Chip] = {}
        self._selected: SpiChip | None = None
        self._sensors: dict[str | int, Any] = {}
        self._unplugged: dict[str | int, str] = {}
        self._fit()

    def _fit(self) -> None:
        kind = self._fitted.converter
        for k, name in enumerate(("pit", "stone")):
            hot_c = partial(self._world_c, f"{name}_c")
            if kind.startswith("mcp"):
                self._sensors[name] = self._i2c[ADDRESSES[k]] = Mcp9600Chip(hot_c, self._cold_c, kind)
            else:
                make = Max31855Chip if kind == "max31855" else Max31856Chip
                self._sensors[name] = self._spi[pins.THERMOCOUPLE_CS[k]] = make(hot_c, self._cold_c)
        for k in range(len(pins.PROBE_ADC)):
            self._sensors[k] = ThermistorProbe(partial(self._probe_c, k))

    def chip(self, name: str) -> Any:
        """The converter of 'pit' or 'stone'."""
        return self._sensors[name]

    def release(self) -> None:
        """A reset: nobody is selected."""
        self._selected = None

    def power_cycle(self) -> None:
        """The chips have forgotten their settings."""
        for chip in (*self._spi.values(), *self._i2c.values()):
            chip.power_cycle()

    # ---- buses ------------------------------------------------------------------------------------------------------

    def set_pin(self, pin: int, level: int) -> None:
        """A pin that may select something."""
        if pin in self.selects:
            self.selects[pin] = level
        chip = self._spi.get(pin)
        if chip is None:
            return
        if level == 0:
            chip.select()
            self._selected = chip
        elif self._selected is chip:
            self._selected = None

    def spi_write(self, line: int, data: bytes, now_us: int) -> None:
        """Bytes to whoever is selected, if the bus is whole and in a mode that the chip understands."""
        if self._selected is None or self.bus or line >> 4 not in self._selected.modes:
            return
        for byte in data:
            self._selected.transfer(byte, now_us)

    def spi_read(self, line: int, count: int, now_us: int) -> bytes:
        """What the data line carries; with nobody selected it floats high."""
        if self.bus == "low":
            return bytes(count)
        chip = self._selected
        if chip is None or self.bus == "high" or line >> 4 not in chip.modes:
            return b"\xff" * count
        return bytes(chip.transfer(0, now_us) for _ in range(count))

    def i2c_write(self, address: int, register: int, data: bytes, now_us: int) -> bool:
        """Bytes into a register; False when nobody answers, which a stuck line looks like too."""
        chip = self._i2c.get(address)
        return chip is not None and not self.bus and chip.write(register, data, now_us)

    def i2c_read(self, address: int, register: int, count: int, now_us: int) -> bytes | None:
        """Bytes of a register, or None."""
        chip = self._i2c.get(address)
        return None if chip is None or self.bus else chip.read(register, count, now_us)

    # ---- analogue pins ----------------------------------------------------------------------------------------------

    def counts(self, pin: int) -> int:
        """What the board's converter reads at this pin, 0 to 65,535."""
        if pin not in pins.PROBE_ADC:
            return FULL_SCALE
        k = pins.PROBE_ADC.index(pin)
        if k == 0 and self._fitted.mux:
            k = self.selects[pins.MUX[0]] | self.selects[pins.MUX[1]] << 1
            return self._probe_counts(k)
        if k == 1 and self._fitted.feedback != "none":
            return self._position_counts()
        if k == 2 and self._fitted.supply:
            volt = float(getattr(self._world, "supply_v", 12.0))
            return min(FULL_SCALE, round(FULL_SCALE * volt / DIVIDER / REFERENCE_V))
        return FULL_SCALE if self._fitted.mux else self._probe_counts(k)

    def _probe_counts(self, k: int) -> int:
        probe = self._sensors.get(k)
        return int(probe.counts()) if probe is not None else FULL_SCALE

    def _position_counts(self) -> int:
        at = self.position()
        if self.position_wire_off:
            return 0 if self._fitted.feedback == "pot" else MIDDLE
        at = 0.0 if at is None else at
        if self._fitted.feedback == "switches":
            return 0 if at <= 0.01 else FULL_SCALE if at >= 0.99 else MIDDLE
        shut, opened = POT_COUNTS
        return round(shut + at * (opened - shut))

    # ---- what the chips measure -------------------------------------------------------------------------------------

    def _world_c(self, name: str) -> float:
        """A temperature of the world; a probe that the world calls broken has none to give."""
        return self._known_c(getattr(self._world, name))

    def _known_c(self, value: float | None) -> float:
        return self._cold_c() if value is None else float(value)

    def _cold_c(self) -> float:
        return 25.0 if self._world.board_c is None else float(self._world.board_c)

    def _probe_c(self, k: int) -> float:
        return self._known_c(self._world.probe_c(k))

    # ---- what can go wrong ------------------------------------------------------------------------------------------

    def unplug(self, name: str | int, how: str) -> None:
        """Break the wire of 'pit', 'stone' or food probe k: 'open', 'short', 'reversed' ...; '' mends it."""
        if name not in self._sensors:
            raise UserError(f"no probe {name!r} on this board; there are {', '.join(map(str, self._sensors))}")
        self._unplugged[name] = how
        self.look()

    def look(self) -> None:
        """Every wire as it is now: broken here, or by what the world says of its probe."""
        broken = getattr(self._world, "fault", lambda _name: "")
        for name, sensor in self._sensors.items():
            how = self._unplugged.get(name) or broken(name)
            sensor.wiring = "short_vcc" if how == "short" and isinstance(name, str) else how
