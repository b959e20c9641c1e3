"""How much air a cooker wants of its blower, by its size: `python -m hardware.air` prints the table of the page.

Charcoal's air and heat: 0.3514 g of air a second and 122 g of charcoal an hour for 1 kW (from enthalpies of formation).
The middle cooker burns 0.17 kg/h at 121 degC (simulated; docs/explain/plant.md); others by their surface, which goes with
the square of their width. All of it is worked out, nothing measured.
"""

from __future__ import annotations

AIR_GPS_A_KW, CHARCOAL_GPH_A_KW = 0.3514, 122.0
MIDDLE_CM, MIDDLE_GPH = 46.0, 170.0
AIR_KG_M3 = 1.204  # 20 degC, 1013 hPa
FULL = 4.0  # a climb over a hold: two to three times at the end of a come-up, and more to searing heat
SHARE = 0.5  # of its free air that a blower gives against half of its own pressure, its curve taken for a line
GUST_MPS = 8.0
SIZES_CM = (30.0, 46.0, 60.0)
CFM_A_M3H = 0.5886


def hold_m3h(width_cm: float) -> float:
    """Air to hold 121 degC, m3/h."""
    burnt_gph = MIDDLE_GPH * (width_cm / MIDDLE_CM) ** 2
    return AIR_GPS_A_KW * burnt_gph / CHARCOAL_GPH_A_KW * 3.6 / AIR_KG_M3


def free_m3h(width_cm: float) -> float:
    """What the blower must give with nothing before it, m3/h."""
    return hold_m3h(width_cm) * FULL / SHARE


def pressure_pa() -> float:
    """What it must build up shut, Pa: twice the wind's at a vent (rho v^2 / 2), for half is used up on the way."""
    return 0.5 * AIR_KG_M3 * GUST_MPS**2 / SHARE


def rows() -> list[str]:
    """The table's rows."""
    return [
        f"| {size:.0f} cm ({size / 2.54:.0f} in) | {hold_m3h(size):.1f} m3/h | {FULL * hold_m3h(size):.0f} m3/h | "
        f"{free_m3h(size):.0f} m3/h ({free_m3h(size) * CFM_A_M3H:.0f} cfm) | {pressure_pa():.0f} Pa |"
        for size in SIZES_CM
    ]


if __name__ == "__main__":
    print("\n".join(rows()))
