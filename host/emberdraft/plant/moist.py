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


def saturated_ratio(temp_c: float) -> float:
    """Humidity ratio of saturated air; held at 97 degC, above which a wet surface simply boils."""
    return humidity_ratio(saturation_pa(temp_c if temp_c < 97.0 else 97.0))
