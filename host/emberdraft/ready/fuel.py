"""How much charcoal a plan needs and how long a fire can last: a band, narrower once the cooker has been seen.

The twin's guesses are led through the plan by an ideal hand on blower and damper; what they burn is the answer.
Charcoal follows from the oxygen taken up (12.3 kJ a gram for carbon, 29.5 MJ a kg of charcoal: 122 g an hour for each
kW). Readings of temperature alone cannot tell a heavy cooker with a large fire from a light one with a small fire: the
band stays wide until the person says what was left over.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from emberdraft.ready.fit import Fit, live_through, prior_fit
from emberdraft.ready.trace import STEP_S, Array, Trace
from emberdraft.ready.twin import Constants, State, cold, constants, step

DRAWS = 120
PLENTY_KG = 30.0
# What temperatures leave open of the charcoal, as a factor and its log spread: from the cookers it was made on.
SCALE, SCALE_SPREAD = 1.15, 0.25
BAND_C = 12.0
LEAST_OPEN = 0.12
SPARE = 0.15  # a fire does not burn to the last gram


@dataclass(frozen=True)
class Stretch:
    """A part of a plan: how long, the pit held or the stone driven to (degC), what is set in or on (kg).

    `spread`: how sure its length is, 1 sigma of the log; a large cut takes what it takes.
    """

    phase: str
    seconds: float
    pit_c: float | None = None
    stone_c: float | None = None
    vent_top: float = 0.25
    parts_kg: float = 0.0
    food_kg: float = 0.0
    spread: float = 0.0


@dataclass(frozen=True)
class FuelSaid:
    """Charcoal in kg for all of it: low, middle, high (80 %); middle for each phase; kg an hour while it holds."""

    low_kg: float
    kg: float
    high_kg: float
    by_phase_kg: dict[str, float]
    hold_kgph: float
    burnt_kg: float  # of it so far

    def to_light_with_kg(self) -> float:
        """What to put in: the high end and what does not burn."""
        return self.high_kg * (1.0 + SPARE)

    def lasts_s(self, fuel_kg: float) -> tuple[float, float]:
        """For how long `fuel_kg` holds, low and high, counted from lighting; the phases before the hold included."""
        spread = self.high_kg / max(self.kg, 1e-6)
        start_kg = self.by_phase_kg.get("light", 0.0)
        middle_s = max(0.0, fuel_kg * (1.0 - SPARE) - start_kg) / max(self.hold_kgph, 1e-6) * 3600.0
        return middle_s / spread, middle_s * spread


def fuel_for(
    plan: Sequence[Stretch], known: Fit | None = None, so_far: Trace | None = None,
    ambient_c: float = 20.0, wind_mps: float = 1.0, scale: float | None = None,
) -> FuelSaid:  # fmt: skip
    """Charcoal for `plan`; with `so_far` (the cook up to now) for that and for the rest of the plan.

    `scale` is what was really burnt in an earlier cook of this cooker over what was said for it.
    """
    begun, used = burnt_by(plan, known, so_far, ambient_c, wind_mps)
    factor = scale if scale is not None else SCALE
    by_phase: dict[str, float] = {}
    hold_kgph = float("nan")
    for stretch, burnt in zip(plan, used, strict=True):
        kg = factor * float(np.median(burnt))
        by_phase[stretch.phase] = by_phase.get(stretch.phase, 0.0) + kg
        if stretch.phase in ("soak", "slow") and stretch.seconds > 0.0:
            hold_kgph = kg / stretch.seconds * 3600.0
    total = begun.copy()
    for stretch, burnt in zip(plan, used, strict=True):
        total += _of_length(stretch, burnt)
    low, mid, high = (float(q) for q in np.quantile(total * blur(DRAWS, scale), (0.1, 0.5, 0.9)))
    return FuelSaid(low, mid, high, by_phase, hold_kgph, factor * float(np.median(begun)))


def blur(count: int, scale: float | None = None) -> Array:
    """What temperatures leave open of the charcoal, as a factor in each of `count` guesses; less with a `scale`."""
    spread = SCALE_SPREAD if scale is None else 0.5 * SCALE_SPREAD
    factor = scale if scale is not None else SCALE
    return np.asarray(factor * np.exp(spread * np.random.default_rng(5).standard_normal(count)))


def burnt_by(
    plan: Sequence[Stretch], known: Fit | None = None, so_far: Trace | None = None,
    ambient_c: float = 20.0, wind_mps: float = 1.0,
) -> tuple[Array, list[Array]]:  # fmt: skip
    """Charcoal in kg by DRAWS guesses of the cooker: burnt so far, and in each stretch; before what is left open."""
    c, state = _begun(known or prior_fit(), so_far, ambient_c)
    begun, used = state.burnt_kg.copy(), []
    for stretch in plan:
        before = state.burnt_kg.copy()
        _live(c, state, stretch, ambient_c, wind_mps)
        used.append(state.burnt_kg - before)
    return begun, used


def _of_length(stretch: Stretch, burnt: Array) -> Array:
    """What a stretch burns in each guess when its length is not sure."""
    if stretch.spread <= 0.0:
        return burnt
    return np.asarray(burnt * np.exp(stretch.spread * np.random.default_rng(6).standard_normal(DRAWS)))


def _begun(found: Fit, so_far: Trace | None, ambient_c: float) -> tuple[Constants, State]:
    draws = found.draw(DRAWS)
    if so_far is None or so_far.length == 0:
        c = constants(draws)
        c["fuel_kg"] = np.full(DRAWS, PLENTY_KG)
        return c, cold(c, ambient_c)
    c, course = live_through(draws, so_far)
    course.state.fuel_kg = course.state.fuel_kg + PLENTY_KG
    return c, course.state


def _live(c: Constants, state: State, stretch: Stretch, ambient_c: float, wind_mps: float) -> None:
    """Let the guesses live through one stretch, an ideal hand on blower and damper of each."""
    row = _Row(stretch, ambient_c, wind_mps)
    if stretch.parts_kg > 0.0:
        state.parts_c = np.full(DRAWS, ambient_c)
    reached = np.zeros(DRAWS, bool)
    for _ in range(round(stretch.seconds / STEP_S)):
        if stretch.stone_c is not None:
            reached |= state.stone_c >= stretch.stone_c
            want = np.where(reached, (stretch.stone_c - state.stone_c) / BAND_C, 1.0)
        else:
            assert stretch.pit_c is not None
            want = (stretch.pit_c - state.pit_c) / BAND_C
        row.give(np.clip(want, 0.0, 1.0), np.clip(1.0 + want, LEAST_OPEN, 1.0))
        step(c, state, row.trace, 0)


class _Row:
    """A trace of one step whose air is set for every guess apart."""

    def __init__(self, stretch: Stretch, ambient_c: float, wind_mps: float) -> None:
        one = np.ones(1)
        nothing = np.full(1, np.nan)
        self._air: tuple[Array, Array] = (np.zeros((1, DRAWS)), np.ones((1, DRAWS)))
        self._square = np.zeros((1, DRAWS))
        self.trace = Trace(
            t_s=one * STEP_S, speed=self._air[0], speed2=self._square, opening=self._air[1],
            vent_top=one * stretch.vent_top, lid=0.0 * one, food_kg=one * stretch.food_kg,
            parts_kg=one * stretch.parts_kg, pit_c=nothing, stone_c=nothing, ambient_c=ambient_c, wind_mps=wind_mps,
        )  # fmt: skip

    def give(self, speed: Array, opening: Array) -> None:
        """Blower and damper of every guess."""
        self._air[0][0], self._air[1][0], self._square[0] = speed, opening, speed**2
