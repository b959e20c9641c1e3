"""Two temperatures that anybody can make, ice and boiling water, and how far a thermocouple may be off by its class."""

from __future__ import annotations

from math import sqrt

from emberdraft.errors import UserError

ICE_C = 0.0  # melting ice in pure water; 101.325 kPa or 80 kPa makes less than 0.002 degC (from memory)
LOWEST_HPA, HIGHEST_HPA = 500.0, 1100.0
HIGHEST_M = 5000.0

# IAPWS-IF97 (2007 revision), equation 31: saturation temperature from pressure, coefficients of its Table 34.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)

# IEC 60584-1:2013, type K and N: class, degC to which the fixed figure holds at least, share of the temperature.
CLASSES = {1: (1.5, 0.004), 2: (2.5, 0.0075)}


def saturation_k(pressure_mpa: float) -> float:
    """Kelvin at which water boils at this pressure (IAPWS-IF97, equation 31)."""
    beta = pressure_mpa**0.25
    e = beta * beta + _N[2] * beta + _N[5]
    f = _N[0] * beta * beta + _N[3] * beta + _N[6]
    g = _N[1] * beta * beta + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g))
    return float((_N[9] + d - sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0)


def boiling_c(pressure_hpa: float) -> float:
    """degC at which water boils at this pressure of the air where you are (not the one reduced to sea level)."""
    if not LOWEST_HPA <= pressure_hpa <= HIGHEST_HPA:
        raise UserError(f"pressure {pressure_hpa:g} hPa: {LOWEST_HPA:g} to {HIGHEST_HPA:g} would be right")
    return saturation_k(pressure_hpa * 1e-4) - 273.15


def pressure_hpa(altitude_m: float) -> float:
    """Air pressure at this height in the standard atmosphere (ISO 2533:1975). Weather moves it by up to 3 %."""
    if not -400.0 <= altitude_m <= HIGHEST_M:
        raise UserError(f"altitude {altitude_m:g} m: -400 to {HIGHEST_M:g} would be right")
    return float(1013.25 * (1.0 - 0.0065 * altitude_m / 288.15) ** 5.25588)


def tolerance_c(temp_c: float, iec_class: int) -> float:
    """degC by which a new type K or N wire of class 1 or 2 may differ from the table at `temp_c` (-40 degC and up)."""
    fixed_c, share = CLASSES[iec_class]
    return max(fixed_c, share * abs(temp_c))


def advice(point_c: float, shown_c: float) -> str:
    """What to make of a reading at a known temperature."""
    off_c = shown_c - point_c
    for iec_class in CLASSES:
        if abs(off_c) <= tolerance_c(point_c, iec_class):
            return f"{off_c:+.1f} degC: within class {iec_class} of IEC 60584-1, leave it"
    return f"{off_c:+.1f} degC: outside class 2; look at type, polarity and converter, then change the wire"
