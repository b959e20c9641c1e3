"""Stranger 7: made to be met at -10 degC in gusts and sleet, with a moody fire and a poor probe.

The fire follows the air by two lags, times a slowly wandering mood; embers grow while fed and shrink while not. The
wind has gusts of its own, a felt seal lets it in, and sleet wets the outside now and then. Its probe (see probes.py)
reads in steps of up to a degree, drifts, and sometimes lies for a second. Without its blower it cannot hold.
"""

from __future__ import annotations

import math
from typing import Any, ClassVar

from tests.bench_suite.strangers.common import AIR_CP, J_PER_KG_O2, O2_MASS, Stranger, draught_pa, orifice

SMALLEST_W = 150.0  # embers this small go out


class FrostKettle(Stranger):
    """Two halves of clay, each a thin inner and a thick outer lump; the seal lies between them."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 3.2,
        "hv_jpkg": 29.5e6,
        "skin_jpk": 9e3,
        "body_jpk": 20e3,
        "skin_wpk": 34.0,
        "upper_wpk": 14.0,
        "lower_wpk": 18.0,
        "outside_wpk": 9.0,
        "stone_jpk": 4600.0,
        "stone_wpk": 6.0,
        "stone_share": 0.25,
        "lower_share": 0.12,
        "gas_jpk": 520.0,
        "height_m": 0.5,
        "intake_m2": 9e-4,
        "exhaust_m2": 34e-4,
        "leak_m2": 0.3e-4,
        "seal_m2": 0.5e-4,
        "blower_pa": 175.0,
        "fan_r": 5.0e6,
        "first_lag_s": 70.0,
        "coals_s": 90.0,
        "second_lag_s": 110.0,
        "ember_first_w": 420.0,
        "ember_top_w": 11000.0,
        "grow_s": 300.0,
        "shrink_s": 900.0,
        "mood": 0.10,
        "mood_s": 240.0,
        "gust_mps": 2.2,
        "sleet_wpk": 9.0,
        "wind_share": 0.025,
        "lid_wpk": 100.0,
    }

    def _kindle(self, start_c: float) -> None:
        self.skins, self.bodies, self.gas_c = [start_c] * 2, [start_c] * 2, start_c
        self.ember_w, self.drawn, self.felt = self.k.ember_first_w, 1e-4, 1e-4
        self.mood, self.gust, self.sleet = 0.0, 0.0, 0.0

    def _weather(self, dt_s: float) -> None:
        """Wandering mood and gusts (Ornstein-Uhlenbeck), sleet by chance for some minutes."""
        k, gauss = self.k, self.chance.gauss
        self.mood += -self.mood * dt_s / k.mood_s + k.mood * math.sqrt(2.0 * dt_s / k.mood_s) * gauss(0.0, 1.0)
        self.gust += -self.gust * dt_s / 25.0 + k.gust_mps * math.sqrt(2.0 * dt_s / 25.0) * gauss(0.0, 1.0)
        self.sleet -= dt_s
        if self.sleet < 0.0 and self.chance.random() < dt_s / 2400.0:
            self.sleet = self.chance.uniform(120.0, 500.0)

    def _air_kgps(self, u: dict[str, Any], wind_mps: float) -> tuple[float, float]:
        """Through the bed, and past it through the seal."""
        k = self.k
        draught = draught_pa(k.height_m, self.gas_c, u["ambient_c"])
        blown = draught + k.blower_pa * u["blower"] ** 2 + k.wind_share * 0.6 * wind_mps**2
        opening = k.exhaust_m2 * (1.0 if u["lid_open"] else u["exhaust"]) + k.leak_m2
        way = orifice(k.intake_m2 * u["intake"] + k.leak_m2) + k.fan_r + orifice(opening, self.gas_c)
        seal = ((0.3 * draught + 0.1 * k.wind_share * wind_mps**2) / orifice(k.seal_m2)) ** 0.5
        return float((blown / way) ** 0.5), float(seal)

    def _fire_w(self, dt_s: float, air: float) -> float:
        k = self.k
        supply = O2_MASS * air
        self.drawn += (supply - self.drawn) * dt_s / k.first_lag_s
        self.felt += (self.drawn - self.felt) * dt_s / k.second_lag_s
        could_w = 0.9 * min(supply, self.felt * (1.0 + max(-0.6, min(0.6, self.mood)))) * J_PER_KG_O2
        heat_w = could_w * self.ember_w / (could_w + self.ember_w) * 1.35 if could_w > 0.0 else 0.0
        heat_w = self._burn(dt_s, min(heat_w, could_w, self.ember_w) / J_PER_KG_O2)
        fed = min(1.0, could_w / max(self.ember_w, 1.0))
        room = max(0.0, 1.0 - self.ember_w / (k.ember_top_w * min(1.0, self.fuel_kg / 0.6) + 1.0))
        self.ember_w *= 1.0 + dt_s * (fed * room / k.grow_s - (1.0 - fed) / k.shrink_s)
        if self.fuel_kg <= 0.0 or self.ember_w < SMALLEST_W:
            self.ember_w = 0.0
        return heat_w

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        self._weather(dt_s)
        wind_mps = abs(u["wind_mps"] + self.gust)
        air, seal = self._air_kgps(u, wind_mps)
        fire_air = air + (1.2e-3 if u["lid_open"] else 0.0)
        heat_w = self._fire_w(dt_s, fire_air)
        self._flue(dt_s, fire_air + seal, heat_w / J_PER_KG_O2)
        heat_w = self._given_w(dt_s, heat_w)
        out_wpk = k.outside_wpk * (0.6 + 0.35 * wind_mps**0.6)
        wet = k.sleet_wpk if self.sleet > 0.0 else 0.0
        given = [
            (0.0 if u["lid_open"] else k.upper_wpk) * (self.gas_c - self.skins[0]),
            k.lower_wpk * (self.gas_c - self.skins[1]),
        ]
        to_stone = k.stone_wpk * (self.gas_c - self.stone_c)
        away = (AIR_CP * (air + seal) + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = (1.0 - k.stone_share - k.lower_share) * heat_w
        self.gas_c += (direct - given[0] - given[1] - to_stone - away - load_w) * dt_s / k.gas_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        for i, rays in enumerate((0.0, k.lower_share * heat_w)):
            inward = k.skin_wpk * (self.skins[i] - self.bodies[i])
            out = (out_wpk + (wet if i == 0 else 0.0)) * (self.bodies[i] - ambient_c)
            self.skins[i] += (given[i] + rays - inward) * dt_s / k.skin_jpk
            self.bodies[i] += (inward - out) * dt_s / k.body_jpk
            away += out
        self.lost_j += away * dt_s
        self.pit_c, self.wall_c, self.dome_c = self.gas_c, self.skins[1], 0.8 * self.gas_c + 0.2 * self.skins[0]

    def stored_j(self) -> float:
        k = self.k
        clay_j = k.skin_jpk * sum(self.skins) + k.body_jpk * sum(self.bodies)
        return float(self.coals_j + clay_j + k.gas_jpk * self.gas_c + k.stone_jpk * self.stone_c)
