"""Is it a cooker at all? Figures of a stranger without any controller."""

from __future__ import annotations

from typing import Any

from tests.bench_suite.strangers.common import Stranger

STEP_S = 2.0
CALM = {"ambient_c": 20.0, "wind_mps": 1.0, "lid_open": False}


def air(blower: float, intake: float, exhaust: float, **more: Any) -> dict[str, Any]:
    """What acts on the cooker, in calm weather."""
    return {**CALM, "blower": blower, "intake": intake, "exhaust": exhaust, **more}


def minutes_to(plant: Stranger, what: str, wanted_c: float, acts: dict[str, Any], longest_min: float) -> float | None:
    """How long until a temperature is reached under steady air; None: not within the longest."""
    for i in range(round(longest_min * 60.0 / STEP_S)):
        if plant.step(STEP_S, acts)[what] >= wanted_c:
            return (i + 1) * STEP_S / 60.0
    return None


def full_air_min(kind: type[Stranger], seed: int) -> float | None:
    """Minutes from lighting to 121 degC in the pit, everything open but the exhaust at the bench's 0.3."""
    return minutes_to(kind(seed), "pit_c", 121.0, air(1.0, 1.0, 0.3), 90.0)


def stone_260_min(kind: type[Stranger], seed: int) -> float | None:
    """Minutes from lighting to 260 degC in the stone with everything open and the blower full."""
    return minutes_to(kind(seed), "stone_c", 260.0, air(1.0, 1.0, 1.0), 150.0)


def held_kgph(kind: type[Stranger], seed: int, hours: float = 3.0) -> float:
    """Charcoal an hour while a switch holds 121 degC, over the last hour."""
    plant = kind(seed)
    pit_c, rows = 20.0, round(hours * 3600.0 / STEP_S)
    fuel_kg = plant.fuel_kg
    for i in range(rows):
        low = pit_c < 121.0
        pit_c = plant.step(STEP_S, air(0.35 if low else 0.0, 1.0 if low else 0.12, 0.3))["pit_c"]
        if i == rows - round(3600.0 / STEP_S):
            fuel_kg = plant.fuel_kg
    return fuel_kg - plant.fuel_kg


def starved_c(kind: type[Stranger], seed: int, shut_min: float = 240.0, after_min: float = 20.0) -> tuple[float, float]:
    """Pit after all air was shut for so long, and what full air makes of it afterwards."""
    plant = kind(seed)
    minutes_to(plant, "pit_c", 150.0, air(1.0, 1.0, 0.3), 90.0)
    minutes_to(plant, "pit_c", 1e9, air(0.0, 0.0, 0.0), shut_min)
    starved = plant.pit_c
    minutes_to(plant, "pit_c", 1e9, air(1.0, 1.0, 0.3), after_min)
    return starved, plant.pit_c


def books(kind: type[Stranger], seed: int) -> tuple[float, float]:
    """Energy balance's gap as a share of the heat, and oxygen used as a share of what came in, with food and parts."""
    plant = kind(seed)
    before_j = plant.stored_j()
    plant.add_food(1.0, 0.04, 5.0)
    plant.add_mass(2.0, 20.0)
    for blower, intake, lid in ((1.0, 1.0, False), (0.2, 0.5, False), (0.0, 0.4, True), (0.3, 0.6, False)):
        minutes_to(plant, "pit_c", 1e9, air(blower, intake, 0.3, lid_open=lid), 2.0 if lid else 25.0)
    gap_j = plant.burnt_j - (plant.stored_j() - before_j) - plant.lost_j - plant.taken_j
    return gap_j / plant.burnt_j, plant.o2_used_kg / (0.2314 * plant.air_kg)
