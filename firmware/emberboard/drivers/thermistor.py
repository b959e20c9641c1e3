"""NTC food probe on an analogue input: a divider, then Steinhart-Hart.

The probe is the lower half of a divider: supply, `series_ohm`, input, probe, ground. The input is
measured against the supply itself, so that the supply's own value falls out. An open probe reads
the full scale and a shorted one reads zero: both are faults and never numbers.

1/T = A + B ln R + C (ln R)^3, T in kelvin (Steinhart and Hart 1968). The constants are those of a
10 kohm probe, from the "1600-10K thermistor" chart; its table rows are held to 0.02 degC.
"""

import math

A = 1.12924e-3
B = 2.34108e-4
C = 0.87755e-7

FULL_SCALE = 65535
READS = 8  # averaged: the inputs of small boards are noisy by several counts

# Beyond these the wire is broken or shorted: about -43 degC and 215 degC for a 10 kohm probe.
OPEN_OHM = 400000.0
SHORT_OHM = 50.0


def celsius_from(resistance_ohm):
    """degC of a resistance in ohm; the resistance must be above 0."""
    log = math.log(resistance_ohm)
    return 1.0 / (A + log * (B + C * log * log)) - 273.15


class Thermistor:
    """One probe on `adc` (anything with `read_u16()`), under a `series_ohm` resistor."""

    def __init__(self, adc, series_ohm=10000.0):
        self._adc = adc
        self._series_ohm = float(series_ohm)
        self._open_above = OPEN_OHM / (OPEN_OHM + series_ohm)
        self._short_below = SHORT_OHM / (SHORT_OHM + series_ohm)

    def read(self):
        """(degC, '') or (None, 'open' or 'short')."""
        total = 0
        for _ in range(READS):
            total += self._adc.read_u16()
        return self.value_of(total / (READS * FULL_SCALE))

    def value_of(self, ratio):
        """(degC, '') or (None, fault) for a share of the full scale."""
        if not ratio < self._open_above:
            return None, "open"
        if ratio <= self._short_below:
            return None, "short"
        return celsius_from(self._series_ohm * ratio / (1.0 - ratio)), ""
