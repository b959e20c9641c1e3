"""Stranger 6: damp lump charcoal in a row of cells, lit at one end: a front walks through, drying, smoking, glowing.

Each cell dries before it catches; its volatiles burn off in a burst; then its char burns. Cells behind the front burn
out, so that the fire is a moving body whose size depends on the air of the last half hour.
"""

from __future__ import annotations

from typing import Any, ClassVar

from tests.bench_suite.strangers.common import (
    AIR_CP,
    J_PER_KG_O2,
    LATENT_J_PER_KG,
    O2_MASS,
    Stranger,
    consumed,
    draught_pa,
    orifice,
)

CELLS = 12
O2_PER_KG_VOLATILE = 1.3
SMALLEST = 0.06  # a life this small goes out


class DampHeap(Stranger):
    """A double shell with air between; the stone hangs over the bed."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 3.0,
        "hv_jpkg": 28.5e6,
        "damp": 0.09,
        "volatile": 0.10,
        "inner_jpk": 16e3,
        "outer_jpk": 12e3,
        "inside_wpk": 28.0,
        "between_wpk": 17.0,
        "outside_wpk": 26.0,
        "stone_jpk": 3800.0,
        "stone_wpk": 5.0,
        "stone_share": 0.22,
        "wall_share": 0.12,
        "gas_jpk": 450.0,
        "height_m": 0.45,
        "intake_m2": 9e-4,
        "exhaust_m2": 34e-4,
        "leak_m2": 0.15e-4,
        "blower_pa": 65.0,
        "fan_r": 2.4e6,
        "appetite": 1.6e-4,
        "coals_s": 110.0,
        "catch_s": 240.0,
        "rouse_s": 110.0,
        "dull_s": 900.0,
        "smoke_s": 240.0,
        "wind_share": 0.02,
        "lid_wpk": 90.0,
    }

    def _kindle(self, start_c: float) -> None:
        each = self.fuel_kg / CELLS
        self.char = [each * (1.0 - self.k.volatile)] * CELLS
        self.smoke = [each * self.k.volatile] * CELLS
        self.water = [each * self.k.damp] * CELLS
        self.heat = [0.0] * CELLS  # 0 cold .. 1 caught
        self.life = [0.0] * CELLS  # 0 dull .. 1 glowing
        self.heat[0], self.life[0], self.water[0] = 1.0, 0.35, 0.0
        self.inner_c = self.outer_c = self.gas_c = start_c

    def _refuelled(self, mass_kg: float) -> None:
        """Fresh coal falls evenly, dry; it dulls what it lies on."""
        for i in range(CELLS):
            self.char[i] += mass_kg / CELLS * (1.0 - self.k.volatile)
            self.smoke[i] += mass_kg / CELLS * self.k.volatile
            self.life[i] *= 0.8

    def _air_kgps(self, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, self.gas_c, u["ambient_c"]) + k.wind_share * 0.6 * u["wind_mps"] ** 2
        pressure += k.blower_pa * u["blower"] ** 2
        way = orifice(k.intake_m2 * u["intake"] + k.leak_m2) + k.fan_r
        opening = k.exhaust_m2 * (1.0 if u["lid_open"] else u["exhaust"]) + k.leak_m2
        return float((pressure / (way + orifice(opening, self.gas_c))) ** 0.5)

    def _advance_bed(self, dt_s: float, air: float) -> tuple[float, float]:
        """Char and volatiles share the air; return the heat and what drying took, in W."""
        k, each = self.k, self.first_fuel_kg / CELLS
        supply = O2_MASS * air
        bodies = [life * min(1.0, char / (0.3 * each)) for life, char in zip(self.life, self.char, strict=True)]
        demand = k.appetite * sum(bodies)
        vapour = [smoke * life * dt_s / k.smoke_s for smoke, life in zip(self.smoke, self.life, strict=True)]
        char_o2 = consumed(supply, demand)
        fed = char_o2 / demand if demand > 0.0 else 0.0
        smoke_o2 = min(sum(vapour) / dt_s * O2_PER_KG_VOLATILE, 0.8 * (supply - char_o2))
        before_kg = self.fuel_kg
        heat_w = self._burn(dt_s, char_o2 + max(0.0, smoke_o2))
        self.fuel_kg = before_kg  # the cells keep the fuel's books
        self._consume(heat_w * dt_s / k.hv_jpkg, bodies, vapour)
        dried_kg = self._spread(dt_s, fed)
        self.fuel_kg = sum(self.char) + sum(self.smoke)
        return heat_w, dried_kg / dt_s * LATENT_J_PER_KG

    def _consume(self, burnt_kg: float, bodies: list[float], vapour: list[float]) -> None:
        from_char = max(0.0, burnt_kg - 0.5 * sum(vapour))
        total = max(sum(bodies), 1e-9)
        for i in range(CELLS):
            self.char[i] = max(0.0, self.char[i] - from_char * bodies[i] / total)
            self.smoke[i] -= min(self.smoke[i], vapour[i])

    def _spread(self, dt_s: float, fed: float) -> float:
        """Dry and catch ahead, rouse or dull what is lit; return kg of water driven off."""
        k, dried = self.k, 0.0
        for i in range(CELLS):
            behind = self.life[i - 1] if i else 0.0
            ahead = self.life[i + 1] if i + 1 < CELLS else 0.0
            near = min(1.0, behind + ahead)
            if self.heat[i] < 1.0 and near > 0.0:
                loss = min(self.water[i], near * (0.3 + 0.7 * fed) * self.first_fuel_kg / CELLS * k.damp * dt_s / 150.0)
                self.water[i] -= loss
                dried += loss
                if self.water[i] <= 1e-6:
                    self.heat[i] = min(1.0, self.heat[i] + near * fed * dt_s / k.catch_s)
                    self.life[i] = 0.15 if self.heat[i] >= 1.0 else 0.0
            elif self.life[i] > 0.0:
                grown = fed * self.life[i] * (1.0 - self.life[i]) / k.rouse_s
                self.life[i] = min(1.0, self.life[i] + dt_s * (grown - (1.0 - fed) * self.life[i] / k.dull_s))
                if self.life[i] < SMALLEST or self.char[i] < 1e-5:
                    self.life[i] = 0.0
        return dried

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        flow = self._air_kgps(u)
        air = flow + (1.2e-3 if u["lid_open"] else 0.0)
        heat_w, drying_w = self._advance_bed(dt_s, air)
        self._flue(dt_s, air, heat_w / J_PER_KG_O2)
        heat_w = self._given_w(dt_s, heat_w)
        to_inner, to_stone = k.inside_wpk * (self.gas_c - self.inner_c), k.stone_wpk * (self.gas_c - self.stone_c)
        across = k.between_wpk * (1.0 + 0.002 * self.inner_c) * (self.inner_c - self.outer_c)
        outside = k.outside_wpk * (0.7 + 0.3 * u["wind_mps"] ** 0.5) * (self.outer_c - ambient_c)
        away = (AIR_CP * flow + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        direct = (1.0 - k.stone_share - k.wall_share) * heat_w
        self.gas_c += (direct - drying_w - to_inner - to_stone - away - load_w) * dt_s / k.gas_jpk
        self.inner_c += (k.wall_share * heat_w + to_inner - across) * dt_s / k.inner_jpk
        self.outer_c += (across - outside) * dt_s / k.outer_jpk
        self.stone_c += (k.stone_share * heat_w + to_stone) * dt_s / k.stone_jpk
        self.lost_j += (drying_w + outside + away) * dt_s
        self.pit_c, self.wall_c, self.dome_c = self.gas_c, self.inner_c, 0.8 * self.gas_c + 0.2 * self.inner_c

    def stored_j(self) -> float:
        k = self.k
        shells_j = k.inner_jpk * self.inner_c + k.outer_jpk * self.outer_c
        return float(self.coals_j + shells_j + k.gas_jpk * self.gas_c + k.stone_jpk * self.stone_c)
