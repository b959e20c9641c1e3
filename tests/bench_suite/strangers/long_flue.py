"""Stranger 5: a brick box with a chimney and a weak blower on a long duct; ash chokes its grate with time.

Draught depends on the chimney's own warmth, which lags; the duct is laminar plus turbulent (a m + b m^2); the
grate's resistance grows with what was burnt; a starved bed makes CO, part of which burns above it with leaked air.
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
)

CO_ONLY_J_PER_KG_O2 = 6.91e6
SMALLEST_KG = 0.008  # a glow this small goes out


class LongFlue(Stranger):
    """Heat for each kg of oxygen falls from 12.3 towards 6.9 MJ as the bed outgrows its air."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 3.0,
        "hv_jpkg": 29.5e6,
        "lining_jpk": 26e3,
        "brick_jpk": 55e3,
        "lining_wpk": 30.0,
        "inside_wpk": 30.0,
        "outside_wpk": 16.0,
        "chimney_jpk": 5000.0,
        "chimney_out_wpk": 3.0,
        "stone_jpk": 4200.0,
        "stone_wpk": 5.0,
        "stone_share": 0.24,
        "lining_share": 0.14,
        "gas_jpk": 600.0,
        "chimney_m": 1.1,
        "intake_m2": 8e-4,
        "exhaust_m2": 30e-4,
        "leak_m2": 0.35e-4,
        "blower_pa": 40.0,
        "fan_r": 1.8e6,
        "duct_linear": 4000.0,
        "duct_square": 6e5,
        "grate_r": 1.2e5,
        "ash_burnt_kg": 0.6,
        "appetite": 3.6e-3,
        "coals_s": 170.0,
        "spread_s": 260.0,
        "dull_s": 600.0,
        "glow_first_kg": 0.03,
        "wind_share": 0.015,
        "lid_wpk": 90.0,
    }

    def _kindle(self, start_c: float) -> None:
        self.lining_c = self.brick_c = self.flue_c = self.gas_c = start_c
        self.glow_kg, self.ash_of_kg = self.k.glow_first_kg, 0.0

    def _air_kgps(self, u: dict[str, Any]) -> float:
        """The root of a m + b m^2 = p."""
        k = self.k
        pressure = draught_pa(k.chimney_m, 0.3 * self.gas_c + 0.7 * self.flue_c, u["ambient_c"])
        pressure += k.blower_pa * u["blower"] ** 2 + k.wind_share * 0.6 * u["wind_mps"] ** 2
        square = orifice(k.intake_m2 * u["intake"] + k.leak_m2) + k.fan_r
        opening = k.exhaust_m2 * max(u["exhaust"], 0.8 if u["lid_open"] else 0.0) + k.leak_m2
        square += orifice(opening, self.gas_c) + k.duct_square
        square += k.grate_r * (1.0 + (self.ash_of_kg / k.ash_burnt_kg) ** 2)
        linear = k.duct_linear
        return float(((linear * linear + 4.0 * square * pressure) ** 0.5 - linear) / (2.0 * square))

    def _fire_w(self, dt_s: float, air: float) -> float:
        k = self.k
        demand = k.appetite * min(self.glow_kg, self.fuel_kg)
        used = consumed(O2_MASS * air, demand)
        fed = used / demand if demand > 0.0 else 0.0
        deep = min(1.0, max(0.0, 0.45 - fed) * 2.0)
        yield_j = J_PER_KG_O2 - 0.4 * deep * (J_PER_KG_O2 - CO_ONLY_J_PER_KG_O2)
        before_kg = self.fuel_kg
        heat_w = self._burn(dt_s, used, yield_j)
        burnt_kg = before_kg - self.fuel_kg
        self.ash_of_kg += burnt_kg
        room = max(0.0, 1.0 - self.glow_kg / max(0.6 * self.fuel_kg, 1e-6))
        self.glow_kg *= 1.0 + dt_s * (fed * room / k.spread_s - (1.0 - fed) / k.dull_s)
        self.glow_kg = max(0.0, min(self.glow_kg, self.fuel_kg) - burnt_kg)
        self.glow_kg = 0.0 if self.glow_kg < SMALLEST_KG else self.glow_kg
        return heat_w

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        flow = self._air_kgps(u)
        air = flow + (1.3e-3 if u["lid_open"] else 0.0)
        used_before = self.o2_used_kg
        heat_w = self._fire_w(dt_s, air)
        self._flue(dt_s, air, (self.o2_used_kg - used_before) / dt_s)
        heat_w = self._given_w(dt_s, heat_w)
        to_lining, to_stone = k.inside_wpk * (self.gas_c - self.lining_c), k.stone_wpk * (self.gas_c - self.stone_c)
        through = k.lining_wpk * (self.lining_c - self.brick_c)
        outside = k.outside_wpk * (0.8 + 0.2 * u["wind_mps"] ** 0.5) * (self.brick_c - ambient_c)
        lid = (k.lid_wpk if u["lid_open"] else 0.0) * (self.gas_c - ambient_c)
        carried = AIR_CP * flow * (self.gas_c - ambient_c)
        to_flue = 0.5 * AIR_CP * flow * (self.gas_c - self.flue_c)
        flue_out = k.chimney_out_wpk * (1.0 + 0.3 * u["wind_mps"] ** 0.7) * (self.flue_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = (1.0 - k.stone_share - k.lining_share) * heat_w
        self.gas_c += (direct - to_lining - to_stone - carried - lid - load_w) * dt_s / k.gas_jpk
        self.lining_c += (k.lining_share * heat_w + to_lining - through) * dt_s / k.lining_jpk
        self.brick_c += (through - outside) * dt_s / k.brick_jpk
        self.flue_c += (to_flue - flue_out) * dt_s / k.chimney_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        self.lost_j += (outside + lid + carried - to_flue + flue_out) * dt_s
        self.pit_c, self.wall_c, self.dome_c = self.gas_c, self.lining_c, 0.9 * self.gas_c + 0.1 * self.lining_c

    def stored_j(self) -> float:
        k = self.k
        walls_j = k.lining_jpk * self.lining_c + k.brick_jpk * self.brick_c + k.chimney_jpk * self.flue_c
        return float(self.coals_j + walls_j + k.gas_jpk * self.gas_c + k.stone_jpk * self.stone_c)
