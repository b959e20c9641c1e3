"""Voltage of a type K thermocouple: NIST Monograph 175 (1993), the same function as in IEC 60584-1:2013.

Written here anew and not taken from the board's driver, so that chip and driver check each other.
"""

from __future__ import annotations

from math import exp

# Powers 0, 1, 2 ... of the temperature, mV.
COLD = (
    0.0,
    0.394501280250e-01,
    0.236223735980e-04,
    -0.328589067840e-06,
    -0.499048287770e-08,
    -0.675090591730e-10,
    -0.574103274280e-12,
    -0.310888728940e-14,
    -0.104516093650e-16,
    -0.198892668780e-19,
    -0.163226974860e-22,
)
WARM = (
    -0.176004136860e-01,
    0.389212049750e-01,
    0.185587700320e-04,
    -0.994575928740e-07,
    0.318409457190e-09,
    -0.560728448890e-12,
    0.560750590590e-15,
    -0.320207200030e-18,
    0.971511471520e-22,
    -0.121047212750e-25,
)


def emf_mv(temp_c: float) -> float:
    """mV of a junction at `temp_c` (-270 to 1372 degC) against one at 0 degC."""
    if temp_c < 0.0:
        return sum(term * temp_c**power for power, term in enumerate(COLD))
    bump = 0.118597600000 * exp(-0.118343200000e-03 * (temp_c - 126.968600000) ** 2)
    return sum(term * temp_c**power for power, term in enumerate(WARM)) + bump
