"""Moist air: saturation pressure, humidity ratio and wet bulb, degC and Pa.

Saturation by Buck's formula in its 1996 form (from memory; checked against psychrolib, which uses
ASHRAE's, in tests/plant/test_slab.py).
"""

from __future__ import annotations

from math import exp

LATENT_J_G = 2380.0  # J/g evaporated near 45 degC (2.3-2.4 kJ/g at 60-70 degC, from memory)


def saturation_pa(temp_c: float) -> float:
    """Saturation vapour pressure over water in Pa."""
    return 611.21 * exp((18.678 - temp_c / 234.5) * temp_c / (257.14 + temp_c))


def humidity_ratio(vapour_pa: float, pressure_pa: float = 101325.0) -> float:
    """kg of water a kg of dry air."""
    return 0.62198 * vapour_pa / (pressure_pa - vapour_pa)


def saturated_ratio(temp_c: float) -> tuple[float, float]:
    """Humidity ratio of saturated air, and its slope a degC (Clausius-Clapeyron).

    Straight above 90 degC: near boiling the ratio runs to infinity, and a face that wet simply boils.
    """
    at_c = temp_c if temp_c < 90.0 else 90.0
    ratio = humidity_ratio(saturation_pa(at_c))
    slope = ratio * (1.0 + ratio / 0.62198) * 4100.0 / ((at_c + 235.0) * (at_c + 235.0))
    return ratio + slope * (temp_c - at_c), slope
