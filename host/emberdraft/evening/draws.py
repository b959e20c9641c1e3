"""Whole evenings drawn from what is not known, side by side; and each of them lived through for an hour of lighting."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from emberdraft.errors import UserError
from emberdraft.evening import habits
from emberdraft.evening.bodies import LONGEST_S, time_on_s
from emberdraft.evening.past import Past, spread
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
NOTHING = Past()


@dataclass(frozen=True)
class Draws:
    """Seconds in each of COUNT evenings: stages of the cooker, pieces on the grate, lateness, time on the stone."""

    stages: Mapping[str, Array]
    on_grate: tuple[Array, ...]
    put_on: tuple[Array, ...]
    pull: tuple[Array, ...]
    ask_climb: Array
    on_stone: Array
    z: tuple[Array, ...]
    z_stone: Array


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


def draw(
    wanted: Wanted,
    known: Mapping[str, habits.Habit] | None = None,
    seed: int = 0,
    count: int = COUNT,
    told: Collection[str] = (),
) -> Draws:
    """`count` evenings. `known`: this cooker's habits, None: nothing is known. Raises UserError for food never done.

    `told`: pieces whose time on the grate need not be drawn. A piece has its own draws whatever else is in the evening,
    so that two plans of one evening are compared in the same evenings.
    """
    rng = np.random.default_rng(seed)
    stages = habits.drawn_s(wanted, known or habits.habits_of(()), count, rng)
    pit = rng.standard_normal((count, 2))
    person = np.exp(LATE_PERSON * rng.standard_normal(count))

    def late(own: np.random.Generator) -> Array:
        return np.asarray(LATE_S * person * np.exp(LATE_PROMPT * own.standard_normal(count)))

    own = [np.random.default_rng((seed, ord(food.letter))) for food in wanted.foods]
    return Draws(
        stages=stages,
        put_on=tuple(late(of) + LID_S for of in own),
        pull=tuple(late(of) + LID_S for of in own),
        ask_climb=late(rng) + late(rng),
        on_stone=np.zeros(count) if wanted.sear is None else _on_stone(wanted.sear, len(own), late(rng), rng),
        z=tuple(of.standard_normal(count) for of in own),
        z_stone=rng.standard_normal(count),
        on_grate=tuple(
            np.zeros(count) if food.letter in told else _on_grate(food, wanted.pit_c, pit, of)
            for food, of in zip(wanted.foods, own, strict=True)
        ),
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


def live(
    wanted: Wanted, draws: Draws, light_s: float, on_s: tuple[float, ...] | None = None, past: Past = NOTHING
) -> Lived:
    """Every evening lit at `light_s`, no piece put on before its hour in `on_s` (None: as soon as it is settled)."""
    stages = draws.stages
    at_heat = past.moment("at_heat", light_s + stages["light"])
    set_in = past.moment("set_in", at_heat + stages["soak"])
    settled = past.moment("settled", set_in + stages["settle"])
    on, pulled = [], []
    for i, food in enumerate(wanted.foods):
        not_before_s = past.on_s.get(food.letter, -np.inf) if on_s is None else on_s[i]
        asked = np.maximum(settled + past.after_s.get(food.letter, 0.0), not_before_s)
        on.append(past.moment(f"{food.letter} on", asked + draws.put_on[i]))
        done = past.out(food.letter, on[i] + draws.on_grate[i], draws.z[i])
        pulled.append(past.moment(f"{food.letter} out", done + draws.pull[i]))
    all_out = np.maximum(np.max(pulled, axis=0), settled + wanted.least_hold_s)
    rested = np.max([out + food.rest_s for out, food in zip(pulled, wanted.foods, strict=True)], axis=0)
    climb = past.moment("climb", all_out + draws.ask_climb)
    hot = climb + stages["climb"] if past.hot is None else spread(past.hot, past.now_s, draws.z_stone)
    sear = past.moment("sear", np.maximum(hot, rested))
    ready = np.maximum(all_out, rested) if wanted.sear is None else past.later(sear + draws.on_stone)
    return Lived(at_heat, set_in, settled, tuple(on), tuple(pulled), all_out, climb, sear, ready)
