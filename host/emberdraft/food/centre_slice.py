"""What a slice from the middle tells of this cook's own meat: the band of coefficients that agrees with it.

The slice is taken at a known time and held against the mean of the piece: by its taste beside slices of known salt, or
by weighing what it gives off. Concentration in the slice: the integral of Crank's solution (brine.py).
"""

from __future__ import annotations

import math

from emberdraft.errors import UserError
from emberdraft.food.brine import FREE_WATER_5C_M2S, SOURCES, TERMS, check_cut, fourier


def slice_share(width: float, fo: float) -> float:
    """Mean concentration over C_mean in the middle slice, `width` of the thickness wide (1: the whole).

    By images while it is early, by the series after; of the whole slab it is 1 at any time: no salt is lost.
    """
    if fo <= 0.0:
        return 0.0 if width < 1.0 else 1.0
    start = 1.0 - width
    if fo < 0.3:
        reach = 2.0 * math.sqrt(fo)
        return (
            sum(math.erf((1.0 - 2.0 * k) / reach) - math.erf((start - 2.0 * k) / reach) for k in range(-4, 5)) / width
        )
    series = (math.exp(-((n * math.pi) ** 2) * fo) * math.sin(n * math.pi * start) / n for n in range(1, TERMS))
    return 1.0 - 2.0 * sum(series) / (math.pi * width)


def narrowed(
    thickness_m: float, hours: float, found: tuple[float, float], slice_m: float = 0.005
) -> tuple[float, float, float]:
    """Lowest, middle (geometric) and highest coefficient in m2/s that agree with a centre slice.

    `found`: the least and the most salt the slice can have, as shares of the piece's mean. Raises UserError for what no
    coefficient between the lowest source and salt in plain water can give.
    """
    check_cut(thickness_m, hours)
    _check_found(found, slice_m, thickness_m)
    width, ends = slice_m / thickness_m, (min(s.low_m2s for s in SOURCES), FREE_WATER_5C_M2S)
    first, last = (slice_share(width, fourier(d, hours, thickness_m)) for d in ends)
    if found[1] < first or found[0] > last:
        raise UserError(
            f"centre {found[0]:.0%} to {found[1]:.0%} after {hours:g} h: diffusion gives {first:.0%} to {last:.0%} "
            "there; look at time, thickness and slice again"
        )
    low, high = (_coefficient(share, width, hours, thickness_m, ends) for share in found)
    return low, math.sqrt(low * high), high


def _check_found(found: tuple[float, float], slice_m: float, thickness_m: float) -> None:
    if not 0.0 <= found[0] < found[1] <= 1.0:
        raise UserError(f"centre {found[0]:.0%} to {found[1]:.0%}: the lesser first, both 0 % to 100 % of the mean")
    if not 0.001 <= slice_m < thickness_m:
        raise UserError(f"slice {1000 * slice_m:g} mm: 1 mm to less than the cut would be right")


def _coefficient(share: float, width: float, hours: float, thickness_m: float, ends: tuple[float, float]) -> float:
    """The coefficient that gives a share, within `ends` (bisection of its logarithm: the share only rises with it)."""
    low, high = ends
    for _ in range(60):
        middle = math.sqrt(low * high)
        less = slice_share(width, fourier(middle, hours, thickness_m)) < share
        low, high = (middle, high) if less else (low, middle)
    return math.sqrt(low * high)
