"""What an uncovered piece gives off in a fridge: an estimate to be weighed, not believed.

Water leaves a wet face at h / cp (W_face - W_air) (psychrometric relation, Lewis factor 1; ASHRAE Fundamentals). Still
to moving air in a fridge, h 2 to 8 W/m2K, and 90 to 60 % relative humidity are taken as the band (from memory). The
face dries: then the meat's own inside sets the pace, so a day's figure is an upper one for later days.
"""

from __future__ import annotations

import math

from emberdraft.errors import UserError

CP_MOIST_J_KGK = 1006.0
DENSITY_KG_M3 = 1055.0
PRESSURE_PA = 101325.0
BAND = ((2.0, 0.90), (4.0, 0.75), (8.0, 0.60))  # h in W/m2K and relative humidity: least, likely, most


def saturated_ratio(air_c: float) -> float:
    """Water in saturated air, kg a kg of dry air (Magnus form, Alduchov and Eskridge 1996)."""
    pressure_pa = 610.94 * math.exp(17.625 * air_c / (air_c + 243.04))
    return 0.62198 * pressure_pa / (PRESSURE_PA - pressure_pa)


def loss_share(mass_kg: float, thickness_m: float, hours: float, air_c: float) -> tuple[float, float, float]:
    """Share of its mass a slab gives off by both faces: least, likely, most; never more than a tenth is claimed."""
    if not -2.0 <= air_c <= 15.0:
        raise UserError(f"fridge {air_c:g} °C: -2 to 15 °C would be right, and 4 °C or less for meat")
    area_m2 = 2.0 * mass_kg / (DENSITY_KG_M3 * thickness_m)
    full = saturated_ratio(air_c)
    low, likely, high = (
        min(0.1, h / CP_MOIST_J_KGK * full * (1.0 - humidity) * area_m2 * hours * 3600.0 / mass_kg)
        for h, humidity in BAND
    )
    return low, likely, high
