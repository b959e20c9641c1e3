"""Type K thermocouple: voltage of a temperature and temperature of a voltage, by ITS-90.

NIST Monograph 175 (1993), database SRD 60; the same functions as in IEC 60584-1:2013. Voltages are
in mV with the reference junction at 0 degC. The inverse is within 0.06 degC of the forward
function (bands published by NIST); a board's 32-bit floats add less than 0.01 degC up to 500 degC.
"""

import math

COLDEST_C = -200.0
HOTTEST_C = 1372.0
LOWEST_MV = -5.891
HIGHEST_MV = 54.886

# Highest power first, as Horner's rule takes them.
_BELOW = (
    -1.6322697486e-23,
    -1.9889266878e-20,
    -1.0451609365e-17,
    -3.1088872894e-15,
    -5.7410327428e-13,
    -6.7509059173e-11,
    -4.9904828777e-09,
    -3.2858906784e-07,
    2.3622373598e-05,
    0.039450128025,
    0.0,
)
_ABOVE = (
    -1.2104721275e-26,
    9.7151147152e-23,
    -3.2020720003e-19,
    5.6075059059e-16,
    -5.6072844889e-13,
    3.1840945719e-10,
    -9.9457592874e-08,
    1.8558770032e-05,
    0.038921204975,
    -0.017600413686,
)
_BUMP_MV = 0.1185976
_BUMP_WIDTH = -1.183432e-4
_BUMP_C = 126.9686

_TO_500_MV = 20.644
_COLD = (
    -5.1920577e-4,
    -1.0450598e-2,
    -8.6632643e-2,
    -0.37342377,
    -0.8977354,
    -1.0833638,
    -1.1662878,
    25.173462,
    0.0,
)
_TO_500 = (
    -1.052755e-8,
    1.057734e-6,
    -4.413030e-5,
    9.804036e-4,
    -1.228034e-2,
    8.315270e-2,
    -2.503131e-1,
    7.860106e-2,
    25.08355,
    0.0,
)
_FROM_500 = (
    -3.110810e-8,
    8.802193e-6,
    -9.650715e-4,
    5.464731e-2,
    -1.646031,
    48.30222,
    -131.8058,
)


def _horner(terms, x):
    total = 0.0
    for term in terms:
        total = total * x + term
    return total


def millivolts(temp_c):
    """mV of a hot junction at `temp_c` (-200 to 1372 degC), reference at 0 degC."""
    if temp_c < 0.0:
        return _horner(_BELOW, temp_c)
    off_c = temp_c - _BUMP_C
    return _horner(_ABOVE, temp_c) + _BUMP_MV * math.exp(_BUMP_WIDTH * off_c * off_c)


def celsius(emf_mv):
    """degC of `emf_mv`, or None outside what a type K thermocouple can give."""
    if not LOWEST_MV <= emf_mv <= HIGHEST_MV:
        return None
    if emf_mv < 0.0:
        return _horner(_COLD, emf_mv)
    return _horner(_TO_500 if emf_mv < _TO_500_MV else _FROM_500, emf_mv)
