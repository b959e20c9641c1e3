"""How long this cooker takes to light, to soak, to settle and to climb: what is usual, and what its own cooks say.

What is usual, and how far cookers and cooks differ, was read off 40 rehearsals of 24 cookers drawn from the kinds that
tuning is made on (plant/catalogue.py), under the control of December 2026. A cooker differs from what is usual by a
factor of its own, a cook from its cooker by another: the logs of both are normal, so that the record's mean is shrunk
towards the prior by how many cooks there are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from emberdraft.evening.wanted import Wanted
from emberdraft.food.slabs import Array
from emberdraft.store.read import Reader

STAGES = ("light", "soak", "settle", "climb")
LIGHT_S, LIGHT_RISE_C = 1800.0, 100.0
SOAK_EXTRA_S, SET_IN_S = 150.0, 115.0
SETTLE_S, PUT_ON_S = 560.0, 85.0  # until food is asked for; from then on to the deed, lateness and lid
CLIMB_S, CLIMB_RISE_C = 1300.0, 155.0
HEAT_POWER = 0.7  # a hotter target takes longer, but the fire has grown meanwhile
# Log spread between cookers, and between cooks of one. Rehearsals light alike to 0.03, people do not: a guess.
SPREADS = {"light": (0.17, 0.10), "soak": (0.11, 0.17), "settle": (0.55, 0.13), "climb": (0.18, 0.11)}
LIKELY = 8.0  # times the usual or a part of it: beyond that something else happened


@dataclass(frozen=True)
class Habit:
    """One stage: log of the factor on what is usual, its spread for the next cook, and from how many cooks."""

    log_factor: float
    spread: float
    cooks: int


def usual_s(wanted: Wanted) -> dict[str, float]:
    """The middle of each stage of this evening before anything is known of the cooker, s."""
    rise_c = max(wanted.pit_c - wanted.ambient_c, 10.0)
    usual = {"light": LIGHT_S * (rise_c / LIGHT_RISE_C) ** HEAT_POWER}
    least_s, longest_s = wanted.soak_s or (0.0, 0.0)
    set_in_s = SET_IN_S if wanted.parts_kg is not None else 0.0
    usual["soak"] = min(least_s + SOAK_EXTRA_S, longest_s) + set_in_s
    if wanted.parts_kg is not None:
        usual["settle"] = min(SETTLE_S, wanted.settle_longest_s)
    if wanted.sear is not None:
        rise_c = max(wanted.sear.stone_c - wanted.pit_c, 10.0)
        usual["climb"] = CLIMB_S * (rise_c / CLIMB_RISE_C) ** HEAT_POWER
    return {stage: seconds for stage, seconds in usual.items() if seconds > 0.0}


def spans_s(reader: Reader, cook_id: int) -> dict[str, float]:
    """How long each stage of a recorded cook took, s; one that was not gone through is left out."""
    begun = {row["phase"]: row["at_s"] for row in reversed(reader.phases(cook_id))}
    ended = {row["phase"]: row["end_s"] for row in reader.phases(cook_id)}
    first: dict[str, float] = {}
    for mark in reader.marks(cook_id):
        first.setdefault(mark["kind"], mark["at_s"])
    edges = {
        "light": (begun.get("light"), ended.get("light")),
        "soak": (begun.get("soak"), first.get("set_up", ended.get("soak"))),
        "settle": (first.get("set_up"), first.get("piece_on")),
        "climb": (begun.get("climb"), begun.get("sear")),
    }
    spans = {stage: float(b - a) for stage, (a, b) in edges.items() if a is not None and b is not None and b > a}
    if "settle" in spans:  # the way from the asking to the deed is drawn on its own
        spans["settle"] = max(spans["settle"] - PUT_ON_S, SET_IN_S)
    return spans


def habits_of(ratios: Sequence[Mapping[str, float]]) -> dict[str, Habit]:
    """The habits of a cooker from its cooks: of each the stages' lengths over what was usual for it."""
    habits = {}
    for stage in STAGES:
        logs = [np.log(cook[stage]) for cook in ratios if 1.0 / LIKELY < cook.get(stage, 0.0) < LIKELY]
        between, within = SPREADS[stage]
        trust = between**2 / (between**2 + within**2 / len(logs)) if logs else 0.0
        mean = trust * float(np.mean(logs)) if logs else 0.0
        habits[stage] = Habit(mean, float(np.hypot(between * (1.0 - trust) ** 0.5, within)), len(logs))
    return habits


def drawn_s(wanted: Wanted, habits: Mapping[str, Habit], count: int, rng: np.random.Generator) -> dict[str, Array]:
    """Every stage in `count` evenings, s; zeros where this evening has none."""
    usual, drawn = usual_s(wanted), {}
    for stage in STAGES:
        habit = habits[stage]
        factor = np.exp(habit.log_factor + habit.spread * rng.standard_normal(count))
        drawn[stage] = usual.get(stage, 0.0) * factor
    if wanted.soak_s is not None:
        set_in_s = SET_IN_S if wanted.parts_kg is not None else 0.0
        drawn["soak"] = np.clip(drawn["soak"], wanted.soak_s[0], wanted.soak_s[1] + 3.0 * set_in_s)
    drawn["settle"] = np.minimum(drawn["settle"], wanted.settle_longest_s + SET_IN_S)
    return drawn
