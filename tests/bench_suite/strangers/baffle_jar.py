"""Stranger 2: a shell as a conducting wall of eight layers, minutes of way between fire and pit, a bed with Arrhenius.

The bed has a temperature of its own: kinetics and air in series limit it (1/r = 1/kinetic + 1/supply), it spreads while
hot and goes dull while cool. Its gas wanders through baffles for two to four minutes before it reaches the pit.
"""

from __future__ import annotations

import math
from collections import deque
from typing import Any, ClassVar

from tests.bench_suite.strangers.common import (
    AIR_CP,
    J_PER_KG_O2,
    KELVIN,
    O2_MASS,
    Stranger,
    draught_pa,
    orifice,
    radiated_w_m2,
)

LAYERS = 8
REFERENCE_K = 1000.0
SMALLEST_KG = 0.02  # a glow this small goes out


class BaffleJar(Stranger):
    """Explicit differences through the wall; conductivity rises with temperature; natural convection outside."""

    NOMINAL: ClassVar[dict[str, float]] = {
        "fuel_kg": 2.8,
        "hv_jpkg": 29.0e6,
        "shell_m": 0.028,
        "shell_m2": 1.0,
        "shell_k": 1.1,
        "shell_jpm3k": 1.8e6,
        "inside_wpm2k": 26.0,
        "base_jpk": 9000.0,
        "base_wpk": 14.0,
        "stone_jpk": 3000.0,
        "stone_wpk": 5.0,
        "stone_cond_wpk": 12.0,
        "stone_view": 0.35,
        "gas_jpk": 2200.0,
        "delay_s": 170.0,
        "height_m": 0.55,
        "intake_m2": 8e-4,
        "exhaust_m2": 30e-4,
        "leak_m2": 0.15e-4,
        "blower_pa": 36.0,
        "fan_r": 2.8e6,
        "kinetic": 4.0e-3,
        "meets_kgps": 130.0,
        "activation_k": 8000.0,
        "spread_s": 520.0,
        "spread_c": 480.0,
        "bed_first_kg": 0.08,
        "bed_jpkgk": 1500.0,
        "bed_m2pkg": 0.035,
        "lid_wpk": 80.0,
    }
    NARROW: ClassVar[dict[str, float]] = {**Stranger.NARROW, "spread_c": 0.08}

    def _kindle(self, start_c: float) -> None:
        self.layers_c = [start_c] * LAYERS
        self.base_c = self.face_c = self.core_c = self.gas_c = start_c
        self.bed_kg, self.bed_c = self.k.bed_first_kg, 650.0
        self.pushed, self.way_j, self.bed_j = 0.0, 0.0, 0.0  # pushed: how often the baffles were filled anew
        self.on_the_way: deque[tuple[float, float]] = deque()

    def _air_kgps(self, u: dict[str, Any]) -> float:
        k = self.k
        pressure = draught_pa(k.height_m, self.gas_c, u["ambient_c"]) + k.blower_pa * u["blower"] ** 1.8
        way = orifice(u["intake"] * k.intake_m2 + k.leak_m2) + k.fan_r
        opening = k.exhaust_m2 * max(u["exhaust"], 0.9 if u["lid_open"] else 0.0) + k.leak_m2
        return float((pressure / (way + orifice(opening, self.gas_c))) ** 0.5)

    def _bed(self, dt_s: float, air: float, u: dict[str, Any]) -> tuple[float, float]:
        """Return radiation and hot gas, both in W."""
        k = self.k
        reached = air + (1.2e-3 if u["lid_open"] else 0.0)
        met = -math.expm1(-(self.bed_kg + 0.005) / (k.meets_kgps * max(reached, 1e-4)))
        supply = O2_MASS * met * reached + 1e-9
        kinetic = k.kinetic * self.bed_kg
        kinetic *= math.exp(-k.activation_k * (1.0 / (self.bed_c + KELVIN) - 1.0 / REFERENCE_K))
        used = supply * kinetic / (supply + kinetic) if kinetic > 0.0 else 0.0
        before_kg = self.fuel_kg
        heat_w = self._burn(dt_s, used)
        self._flue(dt_s, reached, heat_w / J_PER_KG_O2)
        lively = min(1.0, max(-1.0, (self.bed_c - k.spread_c) / 120.0))
        room = max(0.0, 1.0 - self.bed_kg / max(self.fuel_kg, 1e-6))
        spread = max(0.0, lively) * room + 3.0 * min(0.0, lively)
        self.bed_kg = max(0.0, self.bed_kg * (1.0 + spread * dt_s / k.spread_s) - 0.3 * (before_kg - self.fuel_kg))
        self.bed_kg = 0.0 if self.bed_kg < SMALLEST_KG else min(self.bed_kg, self.fuel_kg)
        ash = 0.3 + 0.7 * min(1.0, air / 1e-3)  # a bed that is not blown at hides under its ash
        rays = ash * k.bed_m2pkg * (self.bed_kg + 0.01) * radiated_w_m2(self.bed_c, self.base_c, 0.85)
        carried = AIR_CP * met * air * (self.bed_c - u["ambient_c"])
        heat_jpk = k.bed_jpkgk * (self.bed_kg + 0.05)
        self.bed_c += (heat_w - rays - carried) * dt_s / heat_jpk
        self.bed_j += (heat_w - rays - carried) * dt_s
        return rays, carried

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        k, ambient_c = self.k, u["ambient_c"]
        air = self._air_kgps(u)
        rays, carried = self._bed(dt_s, air, u)
        self.pushed += dt_s * (0.6 + 400.0 * min(air, 2.5e-3)) / k.delay_s
        arrived = self._arrive(carried * dt_s) / dt_s
        to_shell = k.inside_wpm2k * k.shell_m2 * (self.gas_c - self.layers_c[0])
        to_stone = k.stone_wpk * (self.gas_c - self.face_c)
        to_base = k.base_wpk * (self.base_c - self.gas_c)
        into_stone = k.stone_cond_wpk * (self.face_c - self.core_c)
        away = (AIR_CP * air + (k.lid_wpk if u["lid_open"] else 0.0)) * (self.gas_c - ambient_c)
        load_w = self._load_w(dt_s, self.gas_c)
        self.gas_c += (arrived + to_base - to_shell - to_stone - away - load_w) * dt_s / k.gas_jpk
        self.base_c += ((1.0 - k.stone_view) * rays - to_base) * dt_s / k.base_jpk
        self.face_c += (k.stone_view * rays + to_stone - into_stone) * dt_s / k.stone_jpk
        self.core_c += into_stone * dt_s / k.stone_jpk
        outside = self._conduct(dt_s, to_shell, u)
        self.lost_j += (away + outside) * dt_s
        self.pit_c, self.wall_c, self.stone_c = self.gas_c, self.layers_c[0], self.face_c
        self.dome_c = 0.7 * self.gas_c + 0.3 * self.layers_c[0]

    def _arrive(self, sent_j: float) -> float:
        """A pipe of given volume: heat sent now comes when as much gas has followed it; return what comes now, in J."""
        self.on_the_way.append((self.pushed + 1.0, sent_j))
        self.way_j += sent_j
        come_j = 0.0
        while self.on_the_way and self.on_the_way[0][0] <= self.pushed:
            come_j += self.on_the_way.popleft()[1]
        self.way_j -= come_j
        return come_j

    def _conduct(self, dt_s: float, in_w: float, u: dict[str, Any]) -> float:
        """Heat through the wall; return what leaves it outside, in W."""
        k, t = self.k, self.layers_c
        over = t[-1] - u["ambient_c"]
        h = 1.3 * abs(over) ** (1.0 / 3.0) + 2.5 * u["wind_mps"] ** 0.6
        outside = k.shell_m2 * (h * over + radiated_w_m2(t[-1], u["ambient_c"], 0.9))
        layer_m = k.shell_m / LAYERS
        scale = dt_s / (k.shell_jpm3k * k.shell_m2 * layer_m)
        flux = in_w
        for i in range(LAYERS):
            down = outside
            if i + 1 < LAYERS:
                down = k.shell_k * (1.0 + 3e-4 * t[i]) * k.shell_m2 / layer_m * (t[i] - t[i + 1])
            t[i] += scale * (flux - down)
            flux = down
        return outside

    def stored_j(self) -> float:
        k = self.k
        shell_j = k.shell_jpm3k * k.shell_m2 * k.shell_m / LAYERS * sum(self.layers_c)
        lumps_j = k.base_jpk * self.base_c + k.stone_jpk * (self.face_c + self.core_c) + k.gas_jpk * self.gas_c
        return float(shell_j + lumps_j + self.way_j + self.bed_j)
