"""Charcoal of every drawn evening, meat included, and the hour at which a bed that is too small must be fed.

The twin's guesses burn through one evening of middle length; every evening then takes the part of it that its own
stages last. A long hold is lived through until the walls are warm: from there on it burns at one rate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.evening.bodies import H_W_M2K
from emberdraft.evening.cuts import DENSITY_KGM3, KINDS, half_m
from emberdraft.evening.draws import Lived
from emberdraft.evening.wanted import Food, Wanted
from emberdraft.food.slabs import Array
from emberdraft.ready.fuel import DRAWS, SPARE, Stretch, blur, burnt_by
from emberdraft.ready.twin import FOOD_W_K_KG

WARM_S, STEADY_S = 5400.0, 1800.0
PLAIN_KG = 0.4
SHORT = 0.1  # a bed that runs short in more of the evenings than this must be fed


@dataclass(frozen=True)
class Charcoal:
    """Kg in every evening; `feed_s`: by when one bed in ten is short, on the clock of the evenings; None: it lasts."""

    kg: Array
    feed_s: float | None

    def band_kg(self) -> tuple[float, float, float]:
        """Low, middle, high (80 %)."""
        low, mid, high = (float(q) for q in np.quantile(self.kg, (0.1, 0.5, 0.9)))
        return low, mid, high


def draws_kg(food: Food) -> float:
    """What the piece counts in the twin, kg: a large cut has less face to its mass than what the twin was made on."""
    kind, (half, _) = KINDS[food.cut], half_m(food.cut, food.thickness_m, food.mass_kg)
    face_m2_kg = (1.0 + kind.shape) / (half * DENSITY_KGM3)
    return (food.mass_kg or PLAIN_KG) * min(1.0, H_W_M2K * face_m2_kg / FOOD_W_K_KG)


def charcoal(wanted: Wanted, lived: Lived, light_s: float) -> Charcoal:
    """What every evening burns; `lived` was lit at `light_s`."""
    hold = lived.all_out - lived.set_in
    lengths = [lived.at_heat - light_s, lived.set_in - lived.at_heat, np.minimum(hold, WARM_S)]
    lengths += [np.maximum(hold - WARM_S, 0.0), lived.ready - lived.all_out if wanted.sear else 0.0 * hold]
    which = np.random.default_rng(7).integers(0, DRAWS, hold.size)
    burnt = [rate[which] * length for rate, length in zip(_rates(wanted, lengths), lengths, strict=True)]
    course = np.cumsum([0.0 * hold, *burnt], axis=0) * blur(hold.size)
    when = light_s + np.cumsum([0.0 * hold, *lengths], axis=0)
    return Charcoal(course[-1], _feed_s(wanted.charcoal_kg, course, when))


def _rates(wanted: Wanted, lengths: list[Array]) -> list[Array]:
    """Kg a second in light, soak, the hold while it warms, the hold after that, and on the stone."""
    light_s, soak_s, _, _, late_s = (float(np.median(length)) for length in lengths)
    parts_kg, food_kg = wanted.parts_kg or 0.0, sum(draws_kg(food) for food in wanted.foods)
    vent, pit_c = wanted.vent_top, wanted.pit_c
    plan = [
        Stretch("light", max(light_s, 60.0), pit_c, None, vent),
        Stretch("soak", max(soak_s, 60.0), pit_c, None, vent),
        Stretch("slow", WARM_S, pit_c, None, vent, parts_kg, food_kg),
        Stretch("slow", STEADY_S, pit_c, None, vent, parts_kg, food_kg),
        Stretch("climb", max(late_s, 60.0), pit_c, wanted.sear.stone_c if wanted.sear else None, 1.0, parts_kg),
    ]
    _, used = burnt_by(plan, ambient_c=wanted.ambient_c, wind_mps=wanted.wind_mps)
    return [kg / stretch.seconds for kg, stretch in zip(used, plan, strict=True)]


def _feed_s(have_kg: float | None, course: Array, when: Array) -> float | None:
    """The hour by which to feed a bed of `have_kg`, not all of which burns."""
    if have_kg is None:
        return None
    burns_kg = have_kg / (1.0 + SPARE)
    short = course[-1] > burns_kg
    if np.mean(short) <= SHORT:
        return None
    ends = [float(np.interp(burns_kg, course[:, i], when[:, i])) for i in range(short.size)]
    return float(np.quantile(np.where(short, ends, np.inf), SHORT, method="lower"))
