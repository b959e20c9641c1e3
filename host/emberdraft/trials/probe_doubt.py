"""How far two curves can be told apart: the sensors' tolerance and the place of the tips, carried into each figure.

Standard uncertainties (one sigma), combined as the GUM does (JCGM 100:2008): a tolerance or a range without more
knowledge counts as rectangular, +-a -> a / sqrt 3 (4.3.7), a digital step s -> s / sqrt 12 (F.2.2.1).

Place: late in the warming a slab of half thickness L in air of T_air has the profile (Carslaw and Jaeger)
T_air - T(x) = (T_air - T_core) cos(zeta x / L), zeta = 0.86 at a Biot number of 1 (a chop in a slow cooker). A tip x
from the middle reads high by about (T_air - T_core) (zeta x / L)^2 / 2. With x anywhere between 0 and the given reach
r, x^2 has the standard deviation r^2 sqrt(4 / 45). Its mean is the same for all pieces and leaves differences alone.
"""

from __future__ import annotations

import math

ZETA = 0.8603  # first root of zeta tan zeta = Bi at Bi = 1 (tables of one-term coefficients)
PLAIN_THICKNESS_M = 0.035
TOLERANCE_OVER_C = 60.0  # a core's way from the fridge to the pull
_SQUARE_SD = math.sqrt(4.0 / 45.0)


def core_doubt_c(air_c: float, core_c: float, tolerance_c: float, off_centre_m: float, thickness_m: float) -> float:
    """One sigma of a core reading in degC: tolerance and place of the tip."""
    place_c = abs(air_c - core_c) * _place_share(off_centre_m, thickness_m)
    return math.hypot(tolerance_c / math.sqrt(3.0), place_c)


def time_doubt_s(doubt_c: float, rate_cps: float) -> float:
    """One sigma of the moment a temperature is reached, in s: the steeper the curve, the surer."""
    return doubt_c / rate_cps


def rate_doubt(rate: float, tolerance_c: float, off_centre_m: float, thickness_m: float) -> float:
    """One sigma of a rate, in its unit. A constant error of the sensor drops out; one that grows from nothing to its
    tolerance over TOLERANCE_OVER_C does not, nor does the place of the tip."""
    grown = tolerance_c / math.sqrt(3.0) / TOLERANCE_OVER_C
    return abs(rate) * math.hypot(grown, _place_share(off_centre_m, thickness_m))


def lag_doubt_s(lag_s: float, off_centre_m: float, thickness_m: float) -> float:
    """One sigma of a lag in s. Heat needs a time that goes as the square of its way, so a tip x nearer to the face lags
    by a share 2 x / L less; x anywhere in the reach r has the standard deviation r / sqrt 12."""
    return abs(lag_s) * 2.0 * off_centre_m / (thickness_m / 2.0) / math.sqrt(12.0)


def loss_doubt(before_kg: float, after_kg: float, scale_kg: float) -> float:
    """One sigma of 1 - after / before, for a scale with steps of `scale_kg`."""
    step_kg = scale_kg / math.sqrt(12.0)
    return math.hypot(step_kg / before_kg, after_kg * step_kg / before_kg**2)


def _place_share(off_centre_m: float, thickness_m: float) -> float:
    return 0.5 * (ZETA * off_centre_m / (thickness_m / 2.0)) ** 2 * _SQUARE_SD
