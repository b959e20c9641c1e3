"""Whole evenings drawn from what is not known, side by side; and each of them lived through for an hour of lighting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from emberdraft.errors import UserError
from emberdraft.evening import habits
from emberdraft.evening.bodies import LONGEST_S, time_on_s
from emberdraft.evening.wanted import Food, Searing, Wanted
from emberdraft.food.slabs import Array
from emberdraft.quantities import say_temperature

COUNT = 300
# From a prompt to the deed: middle in s, log spread between people and from prompt to prompt. A guess, no source.
LATE_S, LATE_PERSON, LATE_PROMPT = 50.0, 0.5, 0.7
LID_S = 35.0
SIDE_CHANGE_S = 20.0
RECOVER_S, RECOVER_SPREAD = 180.0, 0.4  # of the stone between two groups
NEVER_S = 2.0 * LONGEST_S
MOST_NEVER = 0.5


@dataclass(frozen=True)
class Draws:
    """Seconds in each of COUNT evenings: stages of the cooker, pieces on the grate, lateness, time on the stone."""

    stages: Mapping[str, Array]
    on_grate: tuple[Array, ...]
    put_on: tuple[Array, ...]
    pull: tuple[Array, ...]
    ask_climb: Array
    on_stone: Array


@dataclass(frozen=True)
class Lived:
    """Moments of every evening, in s on the clock of its lighting."""

    at_heat: Array
    set_in: Array
    settled: Array
    on: tuple[Array, ...]
    pulled: tuple[Array, ...]
    all_out: Array
    climb: Array
    sear: Array
    ready: Array


def draw(wanted: Wanted, known: Mapping[str, habits.Habit] | None = None, seed: int = 0) -> Draws:
    """COUNT evenings. `known`: this cooker's habits, None: nothing is known. Raises UserError for food never done."""
    rng = np.random.default_rng(seed)
    stages = habits.drawn_s(wanted, known or habits.habits_of(()), COUNT, rng)
    pit = rng.standard_normal((COUNT, 2))
    person = np.exp(LATE_PERSON * rng.standard_normal(COUNT))

    def late() -> Array:
        return np.asarray(LATE_S * person * np.exp(LATE_PROMPT * rng.standard_normal(COUNT)))

    return Draws(
        stages=stages,
        on_grate=tuple(_on_grate(food, wanted.pit_c, pit, rng) for food in wanted.foods),
        put_on=tuple(late() + LID_S for _ in wanted.foods),
        pull=tuple(late() + LID_S for _ in wanted.foods),
        ask_climb=late() + late(),
        on_stone=np.zeros(COUNT) if wanted.sear is None else _on_stone(wanted.sear, len(wanted.foods), late(), rng),
    )


def _on_grate(food: Food, pit_c: float, pit: Array, rng: np.random.Generator) -> Array:
    times_s = time_on_s(food, pit_c, pit, rng)
    if np.mean(np.isinf(times_s)) > MOST_NEVER:
        raise UserError(
            f"piece {food.letter} ({food.name}): {say_temperature(food.pull_c)} ({say_temperature(food.pull_c, 'f')}) "
            f"is hardly reached at a pit of {say_temperature(pit_c)} ({say_temperature(pit_c, 'f')}) in "
            f"{LONGEST_S / 3600.0:.0f} h; a hotter pit, a lower pull or a thinner piece would be right"
        )
    return np.where(np.isinf(times_s), NEVER_S, times_s)


def _on_stone(sear: Searing, count: int, late: Array, rng: np.random.Generator) -> Array:
    groups = 1 if sear.together else max(1, count)
    recover = np.minimum(RECOVER_S * np.exp(RECOVER_SPREAD * rng.standard_normal(late.size)), sear.recover_longest_s)
    return np.asarray(groups * (late + sear.sides * (sear.per_side_s + SIDE_CHANGE_S)) + (groups - 1) * recover)


def live(wanted: Wanted, draws: Draws, light_s: float, on_s: tuple[float, ...] | None = None) -> Lived:
    """Every evening lit at `light_s`, no piece put on before its hour in `on_s` (None: as soon as it is settled)."""
    stages = draws.stages
    at_heat = light_s + stages["light"]
    set_in = at_heat + stages["soak"]
    settled = set_in + stages["settle"]
    asked = [settled if on_s is None else np.maximum(settled, at) for at in on_s or (0.0,) * len(wanted.foods)]
    on = tuple(at + late for at, late in zip(asked, draws.put_on, strict=True))
    pulled = tuple(a + b + c for a, b, c in zip(on, draws.on_grate, draws.pull, strict=True))
    all_out = np.maximum(np.max(pulled, axis=0), settled + wanted.least_hold_s)
    rested = np.max([out + food.rest_s for out, food in zip(pulled, wanted.foods, strict=True)], axis=0)
    climb = all_out + draws.ask_climb
    sear = np.maximum(climb + stages["climb"], rested)
    ready = np.maximum(all_out, rested) if wanted.sear is None else sear + draws.on_stone
    return Lived(at_heat, set_in, settled, on, pulled, all_out, climb, sear, ready)
