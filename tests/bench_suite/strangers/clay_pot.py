"""Stranger 1: clay in two lumps and a stone, one well-mixed gas, a burning area that grows logistically."""

from __future__ import annotations

from typing import Any, ClassVar

from tests.bench_suite.strangers.common import AIR_CP, J_PER_KG_O2, O2_MASS, Stranger, consumed, draught_pa, orifice

SMALLEST_M2 = 2e-3  # a glow this small goes out


class ClayPot(Stranger):
    """Area: dA/dt = A (g f (1 - A/Amax) - d (1 - f)); f is the share of its appetite that the air meets."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 2.6,
        "hv_jpkg": 29.5e6,
        "inner_jpk": 20e3,
        "outer_jpk": 25e3,
        "wall_wpk": 40.0,
        "inside_wpk": 34.0,
        "outside_wpk": 20.0,
        "stone_jpk": 4500.0,
        "stone_wpk": 6.0,
        "stone_share": 0.20,
        "wall_share": 0.15,
        "gas_jpk": 500.0,
        "height_m": 0.5,
        "intake_m2": 9e-4,
        "exhaust_m2": 36e-4,
        "leak_m2": 0.3e-4,
        "blower_pa": 70.0,
        "fan_r": 2.6e6,
        "appetite": 4.9e-3,
        "coals_s": 160.0,
        "area_max_m2": 0.20,
        "area_first_m2": 0.006,
        "grow_s": 280.0,
        "die_s": 500.0,
        "wind_share": 0.02,
        "lid_wpk": 90.0,
    }

    def _kindle(self, start_c: float) -> None:
        self.area_m2 = self.k.area_first_m2
        self.inner_c = self.outer_c = self.gas_c = start_c

    def _air_kgps(self, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, self.gas_c, u["ambient_c"]) + k.blower_pa * u["blower"] ** 2
        pressure += k.wind_share * 0.6 * u["wind_mps"] ** 2
        way_out = orifice((1.0 if u["lid_open"] else u["exhaust"]) * k.exhaust_m2 + k.leak_m2, self.gas_c)
        return float((pressure / (orifice(u["intake"] * k.intake_m2 + k.leak_m2) + k.fan_r + way_out)) ** 0.5)

    def _fire_w(self, dt_s: float, u: dict[str, Any]) -> tuple[float, float]:
        k = self.k
        air = self._air_kgps(u)
        flow = air + (1.5e-3 if u["lid_open"] else 0.0)
        demand = k.appetite * self.area_m2 if self.fuel_kg > 0.0 else 0.0
        used = consumed(O2_MASS * flow, demand)
        fed = used / demand if demand > 0.0 else 0.0
        room = 1.0 - self.area_m2 / (k.area_max_m2 * min(1.0, self.fuel_kg / 0.7) + 1e-6)
        self.area_m2 *= 1.0 + dt_s * max(-0.02, fed * room / k.grow_s - (1.0 - fed) / k.die_s)
        if self.area_m2 < SMALLEST_M2:
            self.area_m2 = 0.0
        heat_w = self._burn(dt_s, used)
        self._flue(dt_s, flow, heat_w / J_PER_KG_O2)
        return self._given_w(dt_s, heat_w), air

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        heat_w, air = self._fire_w(dt_s, u)
        to_wall = k.inside_wpk * (self.gas_c - self.inner_c)
        to_stone = k.stone_wpk * (self.gas_c - self.stone_c)
        through = k.wall_wpk * (self.inner_c - self.outer_c)
        outside = k.outside_wpk * (0.8 + 0.2 * u["wind_mps"] ** 0.5) * (self.outer_c - ambient_c)
        away = (AIR_CP * air + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = 1.0 - k.stone_share - k.wall_share
        self.gas_c += (direct * heat_w - to_wall - to_stone - away - load_w) * dt_s / k.gas_jpk
        self.inner_c += (k.wall_share * heat_w + to_wall - through) * dt_s / k.inner_jpk
        self.outer_c += (through - outside) * dt_s / k.outer_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        self.lost_j += (outside + away) * dt_s
        self.pit_c, self.wall_c = self.gas_c, self.inner_c
        self.dome_c = 0.85 * self.gas_c + 0.15 * self.inner_c

    def stored_j(self) -> float:
        k = self.k
        gas_j = k.gas_jpk * self.gas_c + k.stone_jpk * self.stone_c
        return float(self.coals_j + gas_j + k.inner_jpk * self.inner_c + k.outer_jpk * self.outer_c)
