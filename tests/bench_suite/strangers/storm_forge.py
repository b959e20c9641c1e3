"""Stranger 8: a blower far too strong, with a dead band and a will of its own; a growing disc of fire, two gases.

The motor starts above one command and stops below a lower one, and never turns slowly: what runs, blows. The disc's rim
walks outward while there is air and inward while there is not. Fire zone and pit are two gases that mix; the
stone sees the fire zone, the pit does not.
"""

from __future__ import annotations

import math
from typing import Any, ClassVar

from tests.bench_suite.strangers.common import AIR_CP, J_PER_KG_O2, O2_MASS, Stranger, consumed, draught_pa, orifice

SMALLEST_M = 0.018  # a disc this small goes out


class StormForge(Stranger):
    """Two gas zones over a lower and an upper shell of two lumps each."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 3.4,
        "hv_jpkg": 29.5e6,
        "lower_jpk": 20e3,
        "upper_jpk": 13e3,
        "rind_jpk": 24e3,
        "lower_wpk": 15.0,
        "upper_wpk": 26.0,
        "rind_wpk": 36.0,
        "outside_wpk": 20.0,
        "mixing_wpk": 16.0,
        "stone_jpk": 4000.0,
        "stone_wpk": 9.0,
        "stone_up_wpk": 5.0,
        "stone_share": 0.14,
        "lower_share": 0.14,
        "zone_jpk": 260.0,
        "pit_jpk": 420.0,
        "height_m": 0.5,
        "intake_m2": 13e-4,
        "exhaust_m2": 40e-4,
        "leak_m2": 0.3e-4,
        "blower_pa": 240.0,
        "fan_r": 2.2e6,
        "starts_at": 0.13,
        "stops_at": 0.07,
        "slowest": 0.25,
        "spin_s": 4.0,
        "appetite": 7.0e-3,
        "coals_s": 80.0,
        "radius_first_m": 0.035,
        "radius_max_m": 0.22,
        "walk_mps": 9e-5,
        "retreat_mps": 6e-5,
        "wind_share": 0.02,
        "lid_wpk": 100.0,
    }
    NARROW: ClassVar[dict[str, float]] = {
        **Stranger.NARROW,
        "starts_at": 0.1,
        "radius_max_m": 0.15,
        "radius_first_m": 0.15,
    }

    def _kindle(self, start_c: float) -> None:
        self.radius_m, self.speed, self.running = self.k.radius_first_m, 0.0, False
        self.zone_c = self.gas_c = self.lower_c = self.upper_c = self.rind_c = start_c

    def _turn(self, dt_s: float, command: float) -> float:
        """The motor: hysteresis, a slowest speed, a lag."""
        k = self.k
        self.running = command > (k.stops_at if self.running else k.starts_at)
        wanted = k.slowest + (1.0 - k.slowest) * command if self.running else 0.0
        self.speed += (wanted - self.speed) * -math.expm1(-dt_s / k.spin_s)
        return float(self.speed)

    def _air_kgps(self, speed: float, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, 0.5 * (self.gas_c + self.zone_c), u["ambient_c"])
        pressure += k.blower_pa * speed**2 + k.wind_share * 0.6 * u["wind_mps"] ** 2
        way = orifice(k.intake_m2 * u["intake"] + k.leak_m2) + k.fan_r
        opening = k.exhaust_m2 * (1.0 if u["lid_open"] else u["exhaust"]) + k.leak_m2
        return float((pressure / (way + orifice(opening, self.gas_c))) ** 0.5)

    def _fire_w(self, dt_s: float, air: float) -> float:
        k = self.k
        demand = k.appetite * math.pi * self.radius_m**2 if self.fuel_kg > 0.0 else 0.0
        used = consumed(O2_MASS * air, demand)
        fed = used / demand if demand > 0.0 else 0.0
        edge_m = k.radius_max_m * min(1.0, self.fuel_kg / 0.7) ** 0.5
        walk = k.walk_mps * fed * max(0.0, 1.0 - self.radius_m / (edge_m + 1e-6)) ** 0.5
        self.radius_m = max(0.0, min(edge_m, self.radius_m + (walk - k.retreat_mps * (1.0 - fed)) * dt_s))
        self.radius_m = 0.0 if self.radius_m < SMALLEST_M else self.radius_m
        return self._burn(dt_s, used)

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        flow = self._air_kgps(self._turn(dt_s, u["blower"]), u)
        air = flow + (1.2e-3 if u["lid_open"] else 0.0)
        heat_w = self._fire_w(dt_s, air)
        self._flue(dt_s, air, heat_w / J_PER_KG_O2)
        heat_w = self._given_w(dt_s, heat_w)
        risen, away = AIR_CP * flow * (self.zone_c - ambient_c), AIR_CP * flow * (self.gas_c - ambient_c)
        mixed = k.mixing_wpk * (self.zone_c - self.gas_c)
        lost = (k.lid_wpk if u["lid_open"] else 0.0) * (self.gas_c - ambient_c)
        to_lower, to_upper = k.lower_wpk * (self.zone_c - self.lower_c), k.upper_wpk * (self.gas_c - self.upper_c)
        to_stone, up_stone = k.stone_wpk * (self.zone_c - self.stone_c), k.stone_up_wpk * (self.stone_c - self.gas_c)
        through = 0.5 * k.rind_wpk * (self.lower_c + self.upper_c - 2.0 * self.rind_c)
        outside = k.outside_wpk * (0.8 + 0.2 * u["wind_mps"] ** 0.5) * (self.rind_c - ambient_c)
        direct = (1.0 - k.stone_share - k.lower_share) * heat_w
        load_w = self._load_w(dt_s, self.gas_c)
        self.zone_c += (direct - risen - mixed - to_lower - to_stone) * dt_s / k.zone_jpk
        self.gas_c += (risen + mixed - to_upper + up_stone - away - lost - load_w) * dt_s / k.pit_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone - up_stone) * dt_s / k.stone_jpk
        half = 0.5 * k.rind_wpk
        self.lower_c += (k.lower_share * heat_w + to_lower - half * (self.lower_c - self.rind_c)) * dt_s / k.lower_jpk
        self.upper_c += (to_upper - half * (self.upper_c - self.rind_c)) * dt_s / k.upper_jpk
        self.rind_c += (through - outside) * dt_s / k.rind_jpk
        self.lost_j += (lost + away + outside) * dt_s
        self.pit_c, self.wall_c, self.dome_c = self.gas_c, self.upper_c, 0.9 * self.gas_c + 0.1 * self.zone_c

    def stored_j(self) -> float:
        k = self.k
        shell_j = k.lower_jpk * self.lower_c + k.upper_jpk * self.upper_c + k.rind_jpk * self.rind_c
        gases_j = k.zone_jpk * self.zone_c + k.pit_jpk * self.gas_c
        return float(self.coals_j + shell_j + gases_j + k.stone_jpk * self.stone_c)
