"""What an evening is to be, as numbers: the plan's times, temperatures and pieces. Units in the names."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Food:
    """One piece. `wrap_c`: the core at which it is wrapped; None: it is not."""

    letter: str
    name: str
    cut: str
    pull_c: float
    start_c: float = 4.0
    mass_kg: float | None = None
    thickness_m: float | None = None
    rest_s: float = 180.0
    wrap_c: float | None = None


@dataclass(frozen=True)
class Searing:
    """The stone, and what is done on it."""

    stone_c: float
    climb_longest_s: float = 2700.0
    per_side_s: float = 75.0
    sides: int = 2
    together: bool = True
    recover_longest_s: float = 240.0


@dataclass(frozen=True)
class Wanted:
    """The evening. `soak_s`: least and longest; `parts_kg`: what is set in, None where nothing is; `sear`: None, or."""

    pit_c: float
    foods: tuple[Food, ...]
    soak_s: tuple[float, float] | None = (900.0, 2400.0)
    parts_kg: float | None = 6.0
    settle_longest_s: float = 1500.0
    least_hold_s: float = 0.0
    sear: Searing | None = None
    ambient_c: float = 20.0
    wind_mps: float = 1.0
    vent_top: float = 0.25
    charcoal_kg: float | None = None
