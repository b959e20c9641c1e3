"""Stranger 3: thin steel, quick, tall draught, the wind in its intake; lumps of three sizes that shrink.

Each lump burns at its surface: a class of n lumps of mass m has area ~ n (m)^(2/3), and small ones are gone first.
"""

from __future__ import annotations

from typing import Any, ClassVar

from tests.bench_suite.strangers.common import (
    AIR_CP,
    J_PER_KG_O2,
    O2_MASS,
    Stranger,
    consumed,
    draught_pa,
    orifice,
    radiated_w_m2,
)

LUMP_RHO = 420.0
SIZES_M = (0.02, 0.035, 0.055)
SMALLEST = 0.005  # a lit share this small goes out


class TinPail(Stranger):
    """Lid and side as separate sheets; everything outside is radiation and wind."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 2.2,
        "hv_jpkg": 29.5e6,
        "side_jpk": 4200.0,
        "lid_jpk": 1300.0,
        "pan_jpk": 3200.0,
        "side_m2": 0.75,
        "lid_m2": 0.28,
        "inside_wpm2k": 22.0,
        "outside_wpm2k": 4.5,
        "wind_wpm2k": 3.0,
        "emissivity": 0.8,
        "stone_jpk": 3000.0,
        "stone_wpk": 4.0,
        "stone_share": 0.22,
        "pan_share": 0.15,
        "gas_jpk": 260.0,
        "height_m": 0.75,
        "intake_m2": 14e-4,
        "exhaust_m2": 40e-4,
        "leak_m2": 0.25e-4,
        "blower_pa": 60.0,
        "fan_r": 1.5e6,
        "appetite": 2.0e-3,
        "coals_s": 45.0,
        "lit_first": 0.013,
        "spread_s": 330.0,
        "dull_s": 420.0,
        "wind_share": 0.10,
        "lid_wpk": 70.0,
    }
    NARROW: ClassVar[dict[str, float]] = {**Stranger.NARROW, "emissivity": 0.15}

    def _kindle(self, start_c: float) -> None:
        self.class_kg = [self.fuel_kg / 3.0] * 3
        self.counts = [self.fuel_kg / 3.0 / (LUMP_RHO * 0.5236 * size**3) for size in SIZES_M]
        self.lit = self.k.lit_first
        self.side_c = self.lid_c = self.pan_c = self.gas_c = start_c

    def _refuelled(self, mass_kg: float) -> None:
        for i, size in enumerate(SIZES_M):
            self.class_kg[i] += mass_kg / 3.0
            self.counts[i] += mass_kg / 3.0 / (LUMP_RHO * 0.5236 * size**3)
        self.lit *= (self.fuel_kg - mass_kg) / self.fuel_kg

    def _areas_m2(self) -> list[float]:
        """Surface of all lumps of each class."""
        pairs = zip(self.class_kg, self.counts, strict=True)
        return [3.1416 * n * (m / max(n, 1e-9) / (LUMP_RHO * 0.5236)) ** (2.0 / 3.0) for m, n in pairs]

    def _fire_w(self, dt_s: float, air: float) -> float:
        areas = self._areas_m2()
        total = sum(areas)
        demand = self.k.appetite * total * self.lit if self.fuel_kg > 1e-4 else 0.0
        used = consumed(O2_MASS * air, demand)
        fed = used / demand if demand > 0.0 else 0.0
        self.lit += dt_s * self.lit * (fed * (1.0 - self.lit) / self.k.spread_s - (1.0 - fed) / self.k.dull_s)
        self.lit = 0.0 if self.lit < SMALLEST else self.lit
        before_kg = self.fuel_kg
        heat_w = self._burn(dt_s, used)
        for i, area in enumerate(areas):
            self.class_kg[i] = max(0.0, self.class_kg[i] - (before_kg - self.fuel_kg) * area / max(total, 1e-9))
        return heat_w

    def _air_kgps(self, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, self.gas_c, u["ambient_c"]) + k.wind_share * 0.6 * u["wind_mps"] ** 2
        pressure += k.blower_pa * u["blower"] ** 2
        opening = k.exhaust_m2 * (1.0 if u["lid_open"] else u["exhaust"]) + k.leak_m2
        way = orifice(k.intake_m2 * u["intake"] + k.leak_m2) + k.fan_r + orifice(opening, self.gas_c)
        return float((pressure / way) ** 0.5)

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        air = self._air_kgps(u)
        fire_air = air + (1.2e-3 if u["lid_open"] else 0.0)
        heat_w = self._fire_w(dt_s, fire_air)
        self._flue(dt_s, fire_air, heat_w / J_PER_KG_O2)
        heat_w = self._given_w(dt_s, heat_w)
        h_out = k.outside_wpm2k + k.wind_wpm2k * u["wind_mps"] ** 0.7
        side_out = k.side_m2 * (h_out * (self.side_c - ambient_c) + radiated_w_m2(self.side_c, ambient_c, k.emissivity))
        lid_out = k.lid_m2 * (h_out * (self.lid_c - ambient_c) + radiated_w_m2(self.lid_c, ambient_c, k.emissivity))
        to_side = k.inside_wpm2k * k.side_m2 * (self.gas_c - self.side_c)
        to_lid = 0.0 if u["lid_open"] else k.inside_wpm2k * k.lid_m2 * (self.gas_c - self.lid_c)
        to_stone, to_pan = k.stone_wpk * (self.gas_c - self.stone_c), 5.0 * (self.gas_c - self.pan_c)
        away = (AIR_CP * air + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = (1.0 - k.stone_share - k.pan_share) * heat_w
        self.gas_c += (direct - to_side - to_lid - to_stone - to_pan - away - load_w) * dt_s / k.gas_jpk
        self.side_c += (to_side - side_out) * dt_s / k.side_jpk
        self.lid_c += (to_lid - lid_out) * dt_s / k.lid_jpk
        self.pan_c += (k.pan_share * heat_w + to_pan) * dt_s / k.pan_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        self.lost_j += (side_out + lid_out + away) * dt_s
        self.pit_c, self.wall_c = self.gas_c, self.side_c
        self.dome_c = 0.6 * self.gas_c + 0.4 * self.lid_c

    def stored_j(self) -> float:
        k = self.k
        sheets_j = k.side_jpk * self.side_c + k.lid_jpk * self.lid_c + k.pan_jpk * self.pan_c
        return float(self.coals_j + sheets_j + k.gas_jpk * self.gas_c + k.stone_jpk * self.stone_c)
