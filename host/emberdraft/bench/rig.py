"""A cooker on the bench: the plant, the world around it, the scenario's hands, and actuators that can stick.

The rig knows no controller and no sensor. It takes air (blower, intake) and gives the truth, so that the same rig
serves a controller through sensors and an optimiser that knows everything.
"""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any, Protocol

from .scenarios import Scenario, Step
from .weather import Air, Wind


class Plant(Protocol):
    """The part of the plant contract that every cooker has."""

    def step(self, dt_s: float, u: dict[str, Any]) -> dict[str, Any]:
        """Advance by dt_s under the inputs u; returns the true temperatures and flows."""

    def add_food(self, mass_kg: float, thickness_m: float, initial_c: float) -> int:
        """Put a piece on; returns its index."""


class NotPossibleError(Exception):
    """This cooker lacks what a scenario needs (cold parts, refuelling): the run is reported, not counted."""


class PlantBrokeError(Exception):
    """The plant's arithmetic left its range: for an optimiser a course not to take, for a controller a broken run."""


class Rig:
    """One run of one scenario on one plant; deep copies run on independently."""

    def __init__(self, plant: Plant, scenario: Scenario, seed: int, ambient_c: float = 20.0) -> None:
        self.plant = plant
        self.t_s = 0.0
        self.phase, self.target_c = "light", 0.0
        self.lid_open = False
        self.exhaust = 1.0
        self.wind = Wind(seed)
        self.air = Air(ambient_c)
        self.probe_fault, self.probe_offset_c = "", 0.0
        self.blower_stuck: float | None = None
        self.acknowledge_due = False
        self.truth: dict[str, Any] = {}
        self.deeds: list[tuple[float, str]] = []
        self._steps: list[Step] = sorted(scenario.steps, key=lambda step: step.at_s)
        self.length_s = scenario.length_s
        self.apply_due()

    def apply_due(self) -> None:
        """Let the scenario's hands do what is due by now."""
        while self._steps and self._steps[0].at_s <= self.t_s + 1e-6:
            step = self._steps.pop(0)
            DEEDS[step.deed](self, *step.values)
            self.deeds.append((self.t_s, step.deed))

    def advance(self, dt_s: float, blower: float, intake: float) -> dict[str, Any]:
        """Apply air for dt_s and return the truth at its end."""
        try:
            self.truth = self.plant.step(dt_s, self.inputs(blower, intake))
        except (ArithmeticError, TypeError, ValueError) as error:
            raise PlantBrokeError(f"plant at {self.t_s:.0f} s, step {dt_s} s: {error}") from error
        self.t_s += dt_s
        self.apply_due()
        return self.truth

    def inputs(self, blower: float, intake: float) -> dict[str, Any]:
        """What the plant is given now."""
        return {
            "blower": blower if self.blower_stuck is None else self.blower_stuck,
            "intake": intake,
            "exhaust": self.exhaust,
            "lid_open": self.lid_open,
            "ambient_c": self.air.at(self.t_s),
            "wind_mps": self.wind.at(self.t_s),
        }

    def pit_c(self) -> float:
        """The true pit temperature now; before the first step it is asked of a copy."""
        return float((self.truth or self.copy().advance(1.0, 0.0, 0.0))["pit_c"])

    def without_preview(self) -> Rig:
        """A copy in which no later order is known: the set-point stays what it is. All else is foreseen."""
        twin = self.copy()
        twin._steps = [step for step in twin._steps if step.deed != "order"]
        return twin

    def copy(self) -> Rig:
        """An independent copy of plant and world, as they stand."""
        return copy.deepcopy(self)


def air(level: float) -> tuple[float, float]:
    """One number for both actuators, rising with the flow: 0..1 opens the intake, 1..2 adds the blower."""
    level = min(2.0, max(0.0, level))
    return (0.0, level) if level < 1.0 else (level - 1.0, 1.0)


def _order(rig: Rig, phase: str, target_c: float) -> None:
    rig.phase, rig.target_c = phase, target_c


def _lid(rig: Rig, is_open: bool) -> None:
    rig.lid_open = is_open


def _exhaust(rig: Rig, opening: float) -> None:
    rig.exhaust = opening


def _set_in(rig: Rig, mass_kg: float, initial_c: float) -> None:
    _ability(rig.plant, "add_mass")(mass_kg, initial_c)


def _put_on(rig: Rig, mass_kg: float, thickness_m: float, initial_c: float) -> None:
    rig.plant.add_food(mass_kg, thickness_m, initial_c)


def _refuel(rig: Rig, mass_kg: float) -> None:
    _ability(rig.plant, "add_fuel")(mass_kg)


def _gusts(rig: Rig, length_s: float) -> None:
    rig.wind.gust(rig.t_s, rig.t_s + length_s)


def _weather(rig: Rig, by_k: float, over_s: float) -> None:
    rig.air.change(rig.t_s, by_k, over_s)


def _probe(rig: Rig, fault: str, offset_c: float) -> None:
    rig.probe_fault, rig.probe_offset_c = fault, offset_c


def _blower(rig: Rig, stuck_at: float | None) -> None:
    rig.blower_stuck = stuck_at


def _acknowledge(rig: Rig) -> None:
    rig.acknowledge_due = True


def _ability(plant: Plant, name: str) -> Callable[..., Any]:
    found = getattr(plant, name, None)
    if found is None:
        raise NotPossibleError(f"the plant has no {name}")
    return found  # type: ignore[no-any-return]


DEEDS: dict[str, Callable[..., None]] = {
    "order": _order,
    "lid": _lid,
    "exhaust": _exhaust,
    "set_in": _set_in,
    "put_on": _put_on,
    "refuel": _refuel,
    "gusts": _gusts,
    "weather": _weather,
    "probe": _probe,
    "blower": _blower,
    "acknowledge": _acknowledge,
}
