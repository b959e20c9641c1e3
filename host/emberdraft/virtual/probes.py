"""A thermistor food probe under its resistor, as the counts of the board's converter.

The resistance curve is the three-point Steinhart-Hart solution of the READ rows of a 10 kohm probe
(-40 degC 336,103.2 ohm; 0 degC 32,650.9; 25 degC 10,000): Campbell Scientific 109SS manual, Table
C-1. The board's driver uses the constants of another chart; the two agree to 0.02 degC.
"""

from __future__ import annotations

import math
from collections.abc import Callable

A, B, C = 1.1291483e-3, 2.3412455e-4, 8.767421e-8
FULL_SCALE = 65535


def resistance_ohm(temp_c: float) -> float:
    """Ohm at `temp_c`: the closed inverse of Steinhart-Hart."""
    x = (A - 1.0 / (temp_c + 273.15)) / C
    y = math.sqrt((B / (3.0 * C)) ** 3 + x * x / 4.0)
    return math.exp((y - x / 2.0) ** (1.0 / 3.0) - (y + x / 2.0) ** (1.0 / 3.0))


class ThermistorProbe:
    """One probe. `wiring` is '' when it is well, else 'open' or 'short'."""

    def __init__(self, temp_c: Callable[[], float], series_ohm: float = 10000.0) -> None:
        self._temp_c = temp_c
        self._series_ohm = series_ohm
        self.wiring = ""

    def counts(self) -> int:
        """What the converter reads, 0 to 65,535, against its own supply."""
        if self.wiring == "open":
            return FULL_SCALE
        if self.wiring == "short":
            return 0
        ohm = resistance_ohm(self._temp_c())
        return round(FULL_SCALE * ohm / (ohm + self._series_ohm))
