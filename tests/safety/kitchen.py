"""The control core on the project's simulated cookers: what the safety proofs watch, second by second."""

from __future__ import annotations

from random import Random
from typing import Any

from emberboard.core.controller import Controller, Inputs
from emberdraft.plant.catalogue import CATALOGUE, make
from emberdraft.plant.contract import Plant
from emberdraft.plant.world import World

COOKERS = tuple(entry.name for entry in CATALOGUE)
RESOLUTION_C = 0.25  # what a low-cost thermocouple chip resolves
HOLD_EXHAUST = 0.3


class Kitchen:
    """A controller on a lit cooker. `alarms` is every (second, id, kind) that was raised, in order."""

    def __init__(self, cooker: str | Plant = "heavy_ceramic", seed: int = 1, draw: int = 0, **yard: Any) -> None:
        plant = make(cooker, draw, seed) if isinstance(cooker, str) else cooker
        self.world = World(plant, seed=seed, vent_top=HOLD_EXHAUST, n_probes=1, **yard)
        self.world.sensors.resolution_c = RESOLUTION_C
        if hasattr(plant, "light"):  # others are lit when they are made
            self.world.light()
        self.world.advance(60.0)  # the probes take on the cooker's temperature
        self.controller = Controller(n_core=1)
        self.inputs: Any = Inputs(1)
        self.out: Any = self.controller.out
        self.alarms: list[tuple[int, str, str]] = []
        self.now_s = 0
        self.plugged = True
        self.pit_c: Any = None  # what the pit's chip says instead of the truth
        self.meddle: Any = None  # what happens to the inputs just before a step: meddle(kitchen)

    def order(self, name: str, **args: Any) -> None:
        """Give an order; it must be accepted."""
        answer = self.controller.order(name, args, self.now_s * 1000)
        assert answer == ("", ""), (name, args, answer)

    def hold(self, target_c: float = 121.0, phase: str = "slow") -> Kitchen:
        """Hold the pit, somebody being there."""
        self.order("mode", mode="hold", phase=phase, target_c=target_c, at_cooker=True)
        return self

    def drive(self, stone_c: float = 260.0, phase: str = "climb", longest_s: float = 5400.0) -> Kitchen:
        """Take the stone up with the top vent open, as a person is asked to."""
        self.world.set_vent_top(1.0)
        self.order("vent", vent="top", opening=1.0)
        self.order("mode", mode="drive", phase=phase, stone_c=stone_c, longest_s=longest_s, at_cooker=True)
        return self

    def lid(self, is_open: bool, told: bool = True) -> Kitchen:
        """Lift or lower the lid, with or without saying so."""
        self.world.lid_open = is_open
        if told:
            self.order("lid", open=is_open)
        return self

    def run(self, seconds: float) -> Kitchen:
        """Let time pass."""
        for _ in range(round(seconds)):
            self._second()
        return self

    def minutes(self, n: float) -> Kitchen:
        """Let minutes pass."""
        return self.run(60.0 * n)

    def names(self, since_s: int = 0) -> list[str]:
        """Ids raised since `since_s`, in order."""
        return [name for at_s, name, _ in self.alarms if at_s >= since_s]

    def first(self, wanted: set[str] | None = None, since_s: int = 0) -> int | None:
        """Seconds from `since_s` to the first alarm (of `wanted`)."""
        for at_s, name, _ in self.alarms:
            if at_s >= since_s and (wanted is None or name in wanted):
                return at_s - since_s
        return None

    def _second(self) -> None:
        world, inputs = self.world, self.inputs
        self.now_s += 1
        inputs.pit_c = world.pit_c if self.pit_c is None else self.pit_c(world.pit_c, self.now_s)
        inputs.pit_fault = world.fault("pit")
        inputs.stone_c, inputs.stone_fault = world.stone_c, world.fault("stone")
        inputs.board_c = world.board_c
        inputs.core_c[0] = world.probe_c(0)
        if self.meddle is not None:
            self.meddle(self)
        self.out = self.controller.tick(self.now_s * 1000, inputs)
        for kind, _value, _limit, text in self.controller.events:
            if kind == "alert":
                self.alarms.append((self.now_s, text, self.controller.alerts[text].kind))
        self.controller.events.clear()
        world.set_air(self.out.drive if self.plugged else 0.0, self.out.opening)
        world.advance(1.0)


class HealthyCook:
    """Chance makes a cook in which nothing is wrong: weather, lid lifts up to 2 min, cold parts, food, fuel."""

    def __init__(self, seed: int) -> None:
        self.chance = chance = Random(f"healthy {seed}")
        self.cooker = COOKERS[seed % len(COOKERS)]
        ambient_c, wind_mps = chance.uniform(0.0, 30.0), chance.uniform(0.0, 6.0)
        self.target_c = chance.uniform(105.0, 140.0)
        self.sears = chance.random() < 0.4
        self.kitchen = Kitchen(self.cooker, seed, ambient_c=ambient_c, wind_mps=wind_mps)

    def run(self) -> Kitchen:
        """Light, set up, put food on, look at it, add fuel; some also sear; the kitchen at its end."""
        chance, kitchen = self.chance, self.kitchen
        kitchen.hold(self.target_c, "light").minutes(chance.uniform(60.0, 80.0))
        kitchen.hold(self.target_c)
        self._lift(chance.uniform(60.0, 120.0), lambda: kitchen.world.set_in(6.0, kitchen.world.ambient_c))
        kitchen.minutes(chance.uniform(25.0, 40.0))
        self._lift(chance.uniform(20.0, 60.0), self._food)
        for _ in range(chance.randrange(1, 4)):
            kitchen.minutes(chance.uniform(8.0, 25.0))
            self._lift(chance.uniform(10.0, 120.0))
        kitchen.minutes(20.0)
        self._lift(chance.uniform(40.0, 100.0), lambda: kitchen.world.add_fuel(chance.uniform(0.3, 1.0)))
        kitchen.minutes(30.0)
        return self._sear() if self.sears else kitchen

    def _sear(self) -> Kitchen:
        chance, kitchen = self.chance, self.kitchen
        kitchen.drive().minutes(chance.uniform(20.0, 40.0))
        kitchen.drive(phase="sear")
        for _ in range(6):
            kitchen.lid(True).run(chance.uniform(10.0, 60.0))
            kitchen.lid(False).run(chance.uniform(30.0, 90.0))
        return kitchen

    def _food(self) -> None:
        self.kitchen.world.put_on("piece", self.chance.uniform(0.3, 1.5), 0.035, 4.0, probe=0)

    def _lift(self, length_s: float, meanwhile: Any = None) -> None:
        told = self.chance.random() < 0.5
        self.kitchen.lid(True, told).run(length_s / 2.0)
        if meanwhile is not None:
            meanwhile()
        self.kitchen.run(length_s / 2.0).lid(False, told)
