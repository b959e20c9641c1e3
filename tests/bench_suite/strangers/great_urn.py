"""Stranger 4: a heavy urn that leaks: shut vents still give air, and its fire answers through three stages of coal.

Raw coal warms, warmed coal glows, glowing coal burns: a chain, so that more air is more heat only after two lags.
"""

from __future__ import annotations

from typing import Any, ClassVar

from tests.bench_suite.strangers.common import AIR_CP, J_PER_KG_O2, O2_MASS, Stranger, consumed, draught_pa, orifice

WALL = 4
SHARES = (0.1, 0.2, 0.3, 0.4)  # of the belly's heat: thin layers inside, thick outside
SMALLEST_KG = 0.012  # a glow this small goes out


class GreatUrn(Stranger):
    """Belly of four uneven layers, dome and foot as lumps; cracks below and above the fire, and one past it."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 4.0,
        "hv_jpkg": 29.5e6,
        "belly_jpk": 80e3,
        "belly_wpk": 42.0,
        "dome_jpk": 24e3,
        "foot_jpk": 22e3,
        "inside_wpk": 30.0,
        "dome_wpk": 14.0,
        "outside_wpk": 15.0,
        "dome_out_wpk": 5.0,
        "stone_jpk": 6500.0,
        "stone_wpk": 7.0,
        "stone_share": 0.24,
        "foot_share": 0.10,
        "gas_jpk": 900.0,
        "height_m": 0.7,
        "intake_m2": 12e-4,
        "exhaust_m2": 45e-4,
        "crack_low_m2": 0.9e-4,
        "crack_high_m2": 2.5e-4,
        "bypass": 0.15,
        "blower_pa": 120.0,
        "fan_r": 1.5e6,
        "appetite": 4.2e-3,
        "coals_s": 200.0,
        "warm_s": 150.0,
        "catch_s": 210.0,
        "dull_s": 700.0,
        "glow_first_kg": 0.04,
        "wind_share": 0.02,
        "lid_wpk": 150.0,
    }

    def _kindle(self, start_c: float) -> None:
        self.wall = [start_c] * WALL
        self.foot_c = self.cap_c = self.gas_c = start_c
        self.glow_kg, self.warm_kg = self.k.glow_first_kg, 0.02

    def _air_kgps(self, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, self.gas_c, u["ambient_c"]) + k.wind_share * 0.6 * u["wind_mps"] ** 2
        way_out = orifice(k.exhaust_m2 * (1.0 if u["lid_open"] else u["exhaust"]) + k.crack_high_m2, self.gas_c)
        opening = k.intake_m2 * u["intake"]
        port = ((pressure + k.blower_pa * u["blower"] ** 2) / (orifice(opening + 1e-6) + k.fan_r + way_out)) ** 0.5
        crack = (pressure / (orifice(k.crack_low_m2) + way_out)) ** 0.5
        return float(port + crack * (1.0 - 0.7 * u["blower"]))

    def _fire_w(self, dt_s: float, air: float) -> float:
        k = self.k
        demand = k.appetite * min(self.glow_kg, self.fuel_kg)
        used = consumed(O2_MASS * air, demand)
        fed = used / demand if demand > 0.0 else 0.0
        raw_kg = max(0.0, self.fuel_kg - self.glow_kg - self.warm_kg)
        caught = fed * self.glow_kg / k.catch_s * min(1.0, raw_kg / (0.3 * self.first_fuel_kg)) * dt_s
        ripe, dulled = self.warm_kg * dt_s / k.warm_s, (1.0 - fed) * self.glow_kg * dt_s / k.dull_s
        before_kg = self.fuel_kg
        heat_w = self._burn(dt_s, used)
        self.warm_kg = max(0.0, self.warm_kg + caught - ripe - 0.2 * (1.0 - fed) * ripe)
        self.glow_kg = max(0.0, self.glow_kg + ripe - dulled - (before_kg - self.fuel_kg))
        if self.glow_kg + self.warm_kg < SMALLEST_KG:
            self.glow_kg = self.warm_kg = 0.0
        return heat_w

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        flow = self._air_kgps(u)
        air = (1.0 - k.bypass) * flow + (1.5e-3 if u["lid_open"] else 0.0)
        heat_w = self._fire_w(dt_s, air)
        self._flue(dt_s, flow + (1.5e-3 if u["lid_open"] else 0.0), heat_w / J_PER_KG_O2)
        heat_w = self._given_w(dt_s, heat_w)
        wind = 0.8 + 0.2 * u["wind_mps"] ** 0.5
        to_cap = 0.0 if u["lid_open"] else k.dome_wpk * (self.gas_c - self.cap_c)
        cap_out = k.dome_out_wpk * wind * (self.cap_c - ambient_c)
        to_wall, to_stone = k.inside_wpk * (self.gas_c - self.wall[0]), k.stone_wpk * (self.gas_c - self.stone_c)
        foot_up, foot_out = 6.0 * (self.foot_c - self.gas_c), 2.0 * (self.foot_c - ambient_c)
        away = (AIR_CP * flow + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = (1.0 - k.stone_share - k.foot_share) * heat_w
        self.gas_c += (direct + foot_up - to_cap - to_wall - to_stone - away - load_w) * dt_s / k.gas_jpk
        self.cap_c += (to_cap - cap_out) * dt_s / k.dome_jpk
        self.foot_c += (k.foot_share * heat_w - foot_up - foot_out) * dt_s / k.foot_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        wall_out = self._conduct(dt_s, to_wall, k.outside_wpk * wind, ambient_c)
        self.lost_j += (cap_out + foot_out + away + wall_out) * dt_s
        self.pit_c, self.wall_c, self.dome_c = self.gas_c, self.wall[0], 0.5 * (self.gas_c + self.cap_c)

    def _conduct(self, dt_s: float, in_w: float, out_wpk: float, ambient_c: float) -> float:
        t, shares, flux, out_w = self.wall, SHARES, in_w, out_wpk * (self.wall[-1] - ambient_c)
        for i in range(WALL):
            down = out_w
            if i + 1 < WALL:
                down = self.k.belly_wpk / (0.5 * (shares[i] + shares[i + 1])) * (t[i] - t[i + 1])
            t[i] += (flux - down) * dt_s / (self.k.belly_jpk * shares[i])
            flux = down
        return out_w

    def stored_j(self) -> float:
        k = self.k
        wall_j = k.belly_jpk * sum(share * c for share, c in zip(SHARES, self.wall, strict=True))
        lumps_j = k.dome_jpk * self.cap_c + k.foot_jpk * self.foot_c
        return float(self.coals_j + wall_j + lumps_j + k.stone_jpk * self.stone_c + k.gas_jpk * self.gas_c)
