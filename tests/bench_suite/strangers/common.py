"""What strangers share: drawing constants, a slab of food, handbook formulas, and the form every cooker must have.

Nothing here comes from the project's own plants: strangers are written from first principles, so that control is judged
on equations that it has never met. Heat of a fire by the oxygen it takes (12.3 MJ/kg O2 for carbon to CO2, from
formation enthalpies); air by orifices, rho g h (1 - Ta/Tg) of draught and a fan's parabola; Lewis' relation for drying.
"""

from __future__ import annotations

import math
import random
from types import SimpleNamespace
from typing import Any, ClassVar

AIR_CP = 1006.0  # J/(kg K)
O2_MASS, O2_MOLE = 0.2314, 0.2095  # shares in dry air
J_PER_KG_O2 = 12.3e6
SIGMA = 5.670374e-8  # W/(m2 K4)
KELVIN = 273.15
BONE_DRY_PA = 1500.0
FOOD_NODES = 5
FOOD_K, FOOD_RHO, FOOD_CP = 0.45, 1060.0, 3500.0  # lean meat, handbook order of size
LATENT_J_PER_KG = 2.4e6


def draught_pa(height_m: float, gas_c: float, ambient_c: float) -> float:
    """Stack draught of a column: rho_a g h (1 - Ta/Tg), never reversed here."""
    return max(0.0, 353.0 / (ambient_c + KELVIN) * 9.81 * height_m * (gas_c - ambient_c) / (gas_c + KELVIN))


def orifice(cda_m2: float, gas_c: float = 20.0) -> float:
    """Pa per (kg/s)^2 of an opening: 1 / (2 rho (Cd A)^2); a shut one is very large."""
    return 1.0 / (2.0 * 353.0 / (gas_c + KELVIN) * max(cda_m2, 1e-7) ** 2)


def saturation_pa(temperature_c: float) -> float:
    """Water's vapour pressure after Magnus."""
    return 610.9 * math.exp(17.62 * temperature_c / (243.1 + temperature_c))


def radiated_w_m2(hot_c: float, cold_c: float, emissivity: float) -> float:
    """Net radiation of a small grey body."""
    return emissivity * SIGMA * ((hot_c + KELVIN) ** 4 - (cold_c + KELVIN) ** 4)


class Food:
    """Half a slab from surface to core, five layers, drying at its surface."""

    def __init__(self, mass_kg: float, thickness_m: float, initial_c: float) -> None:
        self.layer_m = 0.5 * thickness_m / FOOD_NODES
        self.area_m2 = 2.0 * mass_kg / (FOOD_RHO * thickness_m)
        self.layers_c = [initial_c] * FOOD_NODES

    def take_w(self, dt_s: float, gas_c: float, h_w_m2k: float) -> float:
        """Advance; return what the gas gives up in W."""
        t = self.layers_c
        given = h_w_m2k * (gas_c - t[0])
        vapour_pa = max(0.0, saturation_pa(min(t[0], 99.0)) - BONE_DRY_PA)
        flux = given - LATENT_J_PER_KG * h_w_m2k / AIR_CP * 0.622 / 101325.0 * 0.4 * vapour_pa
        scale = dt_s / (FOOD_RHO * FOOD_CP * self.layer_m)
        for i in range(FOOD_NODES):
            down = FOOD_K / self.layer_m * (t[i] - t[i + 1]) if i + 1 < FOOD_NODES else 0.0
            t[i] += scale * (flux - down)
            flux = down
        return given * self.area_m2


class Part:
    """A cold part set in: one lump."""

    def __init__(self, mass_kg: float, initial_c: float) -> None:
        self.heat_jpk, self.g_wpk, self.temp_c = 800.0 * mass_kg, 1.1 * mass_kg, initial_c

    def take_w(self, dt_s: float, gas_c: float) -> float:
        """Advance; return what the gas gives up in W."""
        given = self.g_wpk * (gas_c - self.temp_c)
        self.temp_c += given * dt_s / self.heat_jpk
        return given


class Stranger:
    """A cooker of the plant contract, lit on one spot when it is made.

    `NOMINAL` are its constants in SI units; seed 0 takes them as they are, any other seed draws each within `SPREAD`.
    A subclass gives `_kindle` (its state at lighting) and `_advance` (one step of at most 1 s), and keeps the books:
    `burnt_j`, `o2_used_kg`, `air_kg`, `lost_j`, `taken_j`, and `stored_j()`, so that both balances can be checked.
    """

    NOMINAL: ClassVar[dict[str, float]] = {}
    SPREAD = 0.3
    NARROW: ClassVar[dict[str, float]] = {"hv_jpkg": 0.06, "start_c": 0.0, "fuel_kg": 0.2}
    FOOD_H = 18.0

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        unknown = sorted(set(overrides) - {*self.NOMINAL, "start_c"})
        if unknown:
            raise ValueError(f"unknown override {', '.join(unknown)}; known: {', '.join(sorted(self.NOMINAL))}")
        self.chance = random.Random(f"{type(self).__name__} {seed}")
        self.k = SimpleNamespace(**{"start_c": 20.0, **self._drawn(seed), **overrides})
        self.foods: list[Food | None] = []
        self.parts: list[Part] = []
        self.fuel_kg = self.first_fuel_kg = float(self.k.fuel_kg)
        self.burnt_j = self.o2_used_kg = self.air_kg = self.lost_j = self.taken_j = self.coals_j = 0.0
        self.o2, self.flow_kgps = O2_MOLE, 0.0
        self.pit_c = self.dome_c = self.wall_c = self.stone_c = float(self.k.start_c)
        self._kindle(float(self.k.start_c))

    def _drawn(self, seed: int) -> dict[str, float]:
        values = {}
        for name in sorted(self.NOMINAL):
            width = self.NARROW.get(name, self.SPREAD) if seed else 0.0
            draw = random.Random(f"{type(self).__name__} {seed} {name}").uniform(-width, width)
            values[name] = self.NOMINAL[name] * (1.0 + draw)
        return values

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance 0.25 to 5 s in pieces of at most a second."""
        if not 0.25 <= dt_s <= 5.0:
            raise ValueError(f"dt_s {dt_s} is outside 0.25 to 5 s")
        pieces = math.ceil(dt_s)
        for _ in range(pieces):
            self._advance(dt_s / pieces, u)
        return {
            "pit_c": self.pit_c,
            "dome_c": self.dome_c,
            "wall_c": self.wall_c,
            "stone_c": self.stone_c,
            "core_c": [None if food is None else food.layers_c[-1] for food in self.foods],
            "surface_c": [None if food is None else food.layers_c[0] for food in self.foods],
            "fuel_kg": self.fuel_kg,
            "o2": self.o2,
            "airflow_gps": 1000.0 * self.flow_kgps,
        }

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """Put a piece in."""
        self.foods.append(Food(mass_kg, thickness_m, initial_c))
        return len(self.foods) - 1

    def remove_food(self, index: int) -> None:
        """Take a piece out; its place stays."""
        if not 0 <= index < len(self.foods) or self.foods[index] is None:
            raise ValueError(f"no piece {index} is in")
        self.foods[index] = None

    def add_mass(self, mass_kg: float, initial_c: float) -> None:
        """Set a cold part in."""
        self.parts.append(Part(mass_kg, initial_c))

    def add_fuel(self, mass_kg: float) -> None:
        """Cold charcoal onto the bed."""
        self.fuel_kg += mass_kg
        self._refuelled(mass_kg)

    def _refuelled(self, mass_kg: float) -> None:
        """What fresh charcoal does to the bed, where it does more than feed it."""

    def _kindle(self, start_c: float) -> None:
        raise TypeError(f"{type(self).__name__} gives no _kindle for {start_c} degC")

    def _advance(self, dt_s: float, u: dict[str, Any]) -> None:
        raise TypeError(f"{type(self).__name__} gives no _advance for {dt_s} s and {u}")

    def stored_j(self) -> float:
        """Heat in the cooker itself in J, against any fixed state."""
        raise TypeError(f"{type(self).__name__} gives no stored_j")

    def _burn(self, dt_s: float, o2_kgps: float, j_per_kg_o2: float = J_PER_KG_O2) -> float:
        """Take oxygen and charcoal; return W. No more than there is charcoal for."""
        heat_w = min(o2_kgps * j_per_kg_o2, self.fuel_kg * self.k.hv_jpkg / dt_s)
        self.fuel_kg = max(0.0, self.fuel_kg - heat_w * dt_s / self.k.hv_jpkg)
        self.burnt_j += heat_w * dt_s
        self.o2_used_kg += heat_w / j_per_kg_o2 * dt_s
        return heat_w

    def _given_w(self, dt_s: float, heat_w: float) -> float:
        """What the coals pass on of the heat that they make: lumps are slow to warm and to cool.

        A lump of 40 mm: (d/2)^2 / (pi^2 a) = 135 s with a = 3e-7 m2/s (k 0.15, rho 400, c 1200,
        handbook orders of size).
        """
        self.coals_j += heat_w * dt_s
        given_j = self.coals_j * -math.expm1(-dt_s / self.k.coals_s)
        self.coals_j -= given_j
        return given_j / dt_s

    def _flue(self, dt_s: float, flow_kgps: float, used_kgps: float) -> None:
        """Note the flow and the flue's oxygen, mixed over some seconds."""
        self.flow_kgps = flow_kgps
        self.air_kg += flow_kgps * dt_s
        left = 1.0 - used_kgps / (O2_MASS * flow_kgps) if flow_kgps > 1e-9 else 0.0
        self.o2 += (O2_MOLE * min(1.0, max(0.0, left)) - self.o2) * dt_s / 10.0

    def _load_w(self, dt_s: float, gas_c: float) -> float:
        """What food and parts take from the gas, in W."""
        taken = sum(food.take_w(dt_s, gas_c, self.FOOD_H) for food in self.foods if food is not None)
        taken += sum(part.take_w(dt_s, gas_c) for part in self.parts)
        self.taken_j += taken * dt_s
        return taken


def consumed(supply_kgps: float, demand_kgps: float) -> float:
    """Oxygen taken by a bed of that appetite from that supply: transfer along a bed, S (1 - exp(-D/S))."""
    if supply_kgps <= 1e-9 or demand_kgps <= 0.0:
        return 0.0
    return supply_kgps * -math.expm1(-demand_kgps / supply_kgps)
