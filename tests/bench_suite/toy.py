"""A throw-away cooker for the bench's own tests: a fire that lags its air, one heat, a stone. Not physics."""

from __future__ import annotations

from typing import Any


class Toy:
    """fire_s is the fire's lag; strength_k the rise that full air would hold."""

    def __init__(self, seed: int = 0, **overrides: float) -> None:
        values = {"fire_s": 240.0, "body_s": 1500.0, "strength_k": 500.0, "fuel_kg": 2.0}
        unknown = set(overrides) - set(values)
        if unknown:
            raise ValueError(f"unknown override {sorted(unknown)}")
        values.update(overrides)
        self.fire_s, self.body_s, self.strength_k = values["fire_s"], values["body_s"], values["strength_k"]
        self.fuel_kg = values["fuel_kg"]
        self.fire, self.pit_c, self.stone_c = 0.1, 20.0, 20.0
        self.foods: list[float] = []

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Explicit Euler."""
        air = 0.0 if u["lid_open"] else min(1.0, 0.1 * u["intake"] + 0.9 * u["blower"])
        if self.fuel_kg <= 0.0:
            air = 0.0
        self.fire += (air - self.fire) * dt_s / self.fire_s
        self.fuel_kg = max(0.0, self.fuel_kg - 0.0003 * self.fire * dt_s)
        loss = 8.0 if u["lid_open"] else 1.0 + 0.03 * u["wind_mps"]
        self.pit_c += (self.strength_k * self.fire - loss * (self.pit_c - u["ambient_c"])) * dt_s / self.body_s
        self.stone_c += (self.pit_c + 60.0 * self.fire - self.stone_c) * dt_s / 600.0
        self.foods = [core_c + (self.pit_c - core_c) * dt_s / 4000.0 for core_c in self.foods]
        return {
            "pit_c": self.pit_c,
            "dome_c": self.pit_c,
            "wall_c": self.pit_c,
            "stone_c": self.stone_c,
            "core_c": list(self.foods),
            "surface_c": list(self.foods),
            "fuel_kg": self.fuel_kg,
            "o2": 0.2,
            "airflow_gps": air,
        }

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """A piece that takes up no heat worth speaking of, but for the moment it goes on."""
        self.foods.append(initial_c)
        self.pit_c -= 10.0 * mass_kg
        return len(self.foods) - 1

    def add_mass(self, mass_kg: float, initial_c: float) -> None:
        """Cold parts cool the air at once."""
        self.pit_c -= 5.0 * mass_kg
