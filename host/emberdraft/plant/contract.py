"""The form of a simulated cooker: any class of this form can be passed as `--plant FILE.py:Class`."""

from __future__ import annotations

from typing import Any, Protocol, TypedDict


class Acts(TypedDict):
    """What acts on the cooker in a step: air, vents, lid, weather."""

    blower: float  # 0..1, speed
    intake: float  # 0..1, opening below
    exhaust: float  # 0..1, opening of the top vent
    lid_open: bool
    ambient_c: float
    wind_mps: float


class Plant(Protocol):
    """A cooker. Optional besides: add_mass(mass_kg, initial_c), light(), add_fuel(mass_kg)."""

    def step(self, dt_s: float, u: Any, /) -> dict[str, Any]:
        """Advance 0.25 to 5 s; pit_c, dome_c, wall_c, stone_c, core_c, surface_c, fuel_kg, o2, airflow_gps."""

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """Put a piece in; its index, never used again."""

    def remove_food(self, index: int) -> Any:
        """Take a piece out; its place in the lists stays, as None."""
