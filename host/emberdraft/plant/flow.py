"""Air through the cooker: stack draft, orifices, the blower's curve and leaks, in Pa and g/s.

Sources: orifice and stack formulas as in any ventilation handbook (from memory; the worked values in
tests/plant/test_flow.py were computed apart from this code).
"""

from __future__ import annotations

from math import sqrt

SEA_LEVEL_PA = 101325.0
GAS_CONSTANT = 287.05  # J/(kg K), dry air
GRAVITY = 9.80665  # m/s2
CD = 0.61  # sharp-edged opening
CP_AIR = 1.05  # J/(g K), air and flue gas between 20 and 400 degC (from memory)
SOFT_PA = 0.02  # rounds off the square root at zero, so that a solver has a slope there
HEAD_PA_K_M = SEA_LEVEL_PA * GRAVITY / GAS_CONSTANT


def density_kgm3(temp_c: float) -> float:
    """Density of air at sea level in kg/m3."""
    return SEA_LEVEL_PA / (GAS_CONSTANT * (temp_c + 273.15))


def stack_draft_pa(height_m: float, inside_c: float, outside_c: float) -> float:
    """Draft in Pa of a column of warm air: p g h / R (1/T_out - 1/T_in). Negative when reversed."""
    return HEAD_PA_K_M * height_m * (1.0 / (outside_c + 273.15) - 1.0 / (inside_c + 273.15))


def conductance(area_m2: float, temp_c: float = 20.0) -> float:
    """How many g/s an opening passes at 1 Pa (flow grows with the square root of the pressure)."""
    return 1000.0 * CD * area_m2 * sqrt(2.0 * density_kgm3(temp_c))


def orifice_gps(area_m2: float, drop_pa: float, temp_c: float = 20.0) -> float:
    """Mass flow in g/s through an opening: Cd A sqrt(2 rho dp), with the sign of the pressure drop."""
    size = conductance(area_m2, temp_c) * sqrt(abs(drop_pa))
    return size if drop_pa >= 0.0 else -size


def in_series(first: float, second: float) -> float:
    """Conductance of two openings one behind the other: 1/g2 adds."""
    if first <= 0.0 or second <= 0.0:
        return 0.0
    return first * second / sqrt(first * first + second * second)


class AirPath:
    """Duct with a blower and a low leak feed one room; the top vent and the lid's seam let it out.

    The room's pressure at the level of the fire is found by Newton's method from its last value: flow
    in equals flow out. `duct_gps`, `leak_gps` (negative: outward) and `out_gps` are kept for who asks.
    """

    def __init__(self) -> None:
        self.room_pa = 0.0
        self.duct_gps = 0.0
        self.leak_gps = 0.0
        self.out_gps = 0.0

    def settle(self, boost_pa: float, draft_pa: float, duct: float, leak: float, out: float) -> float:
        """Flow in g/s through the fire; `boost_pa` acts in the duct, `draft_pa` up to the top opening."""
        p = self.room_pa
        for _ in range(4):
            a = boost_pa - p
            b = p + draft_pa
            ra, rb, rl = sqrt(abs(a) + SOFT_PA), sqrt(abs(b) + SOFT_PA), sqrt(abs(p) + SOFT_PA)
            gap = duct * a / ra - leak * p / rl - out * b / rb
            p += gap / (0.5 * (duct / ra + leak / rl + out / rb) + 1e-9) * 0.9
        a = boost_pa - p
        self.room_pa = p
        self.duct_gps = duct * a / sqrt(abs(a) + SOFT_PA)
        self.leak_gps = -leak * p / sqrt(abs(p) + SOFT_PA)
        self.out_gps = self.duct_gps + self.leak_gps
        return self.out_gps


class Blower:
    """A small centrifugal blower: pressure = stall_pa d^2 - drop by flow; a flap falls shut behind it."""

    def __init__(self, stall_pa: float, free_gps: float, flap_area_m2: float) -> None:
        self.stall_pa = stall_pa
        self.inside = free_gps / sqrt(stall_pa) if stall_pa > 0.0 else 0.0  # g/s at 1 Pa
        self.flap = conductance(flap_area_m2)

    def boost_pa(self, speed: float) -> float:
        """Pressure at no flow in Pa at a speed of 0..1 (affinity law: with the square of the speed)."""
        return self.stall_pa * speed * speed

    def duct(self, opening: float, speed: float) -> float:
        """Conductance of damper, blower and flap in series; without a blower the opening alone."""
        if self.inside == 0.0:
            return opening
        lifted = speed * 12.0 if speed < 1.0 / 12.0 else 1.0
        return in_series(opening, self.flap + (self.inside - self.flap) * lifted)
