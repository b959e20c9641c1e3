"""A plan on a simulated cooker in lock-step, as fast as it goes: board's core, cooker, conductor, person, record.

    summary = Rehearsal(load_plan("two_chops"), None, None, seed=0, start_s=0.0).run()

One process, one thread, no clock: the same plan, cooker and seed give the same cook.
"""

from __future__ import annotations

import time
from typing import Any, NamedTuple

from emberboard.core.controller import Controller, Inputs
from emberdraft.daemon.conductor import Action, Conductor, View
from emberdraft.daemon.figures import Figures
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.recorder import Recorder
from emberdraft.daemon.standin import Person
from emberdraft.errors import UserError
from emberdraft.plant.contract import Plant
from emberdraft.plant.load import load_plant
from emberdraft.plant.world import World

LONGEST_S = 96 * 3600


class FingerOnConductor:
    """The person's finger: what it presses goes to the conductor, as the page would send it."""

    def __init__(self, conductor: Conductor) -> None:
        self.conductor = conductor
        self.now_s = 0.0
        self.actions: list[Action] = []

    def answer(self, prompt_id: str, at_cooker: bool = False) -> None:
        """Press a prompt's button."""
        self.actions += self.conductor.answer(prompt_id, self.now_s, at_cooker)

    def command(self, name: str, **args: Any) -> None:
        """Press one of the buttons that are always there."""
        self.actions += self.conductor.command(name, self.now_s, **args)


class Cast(NamedTuple):
    """Who takes part in a rehearsal besides the board."""

    world: World
    conductor: Conductor
    person: Person
    finger: FingerOnConductor


def cold_world(plan: Plan, plant_spec: str | None, seed: int) -> World:
    """A cold cooker in the plan's weather, with a food probe for each piece that has one; nothing is lit yet."""
    n_core = max((p.probe + 1 for p in plan.pieces if p.probe is not None), default=1)
    plant = load_plant(plant_spec, seed) if plan.blower else plant_without_blower(plant_spec, seed)
    put_out = getattr(plant, "put_out", None)  # not every plant of another's making can
    if callable(put_out):
        put_out()
    return World(plant, ambient_c=plan.ambient_c, wind_mps=plan.wind_mps, seed=seed, n_probes=n_core)


def plant_without_blower(plant_spec: str | None, seed: int) -> Plant:
    """The cooker with an open bottom vent where the blower would sit; one of another's making as it is."""
    try:
        return load_plant(plant_spec, seed, blower_pa=0.0)
    except UserError:
        return load_plant(plant_spec, seed)


def prepared(plan: Plan, plant_spec: str | None, seed: int) -> Cast:
    """A cold cooker, a conductor, and a person between the two."""
    world = cold_world(plan, plant_spec, seed)
    conductor = Conductor(plan)
    finger = FingerOnConductor(conductor)
    return Cast(world, conductor, Person(plan, world, finger), finger)


class Rehearsal:
    """One run; `run()` gives the summary."""

    def __init__(
        self, plan: Plan, plant_spec: str | None, recorder: Recorder | None, seed: int, start_s: float
    ) -> None:
        self.plan = plan
        self.start_s = start_s
        self.world, self.conductor, self.person, self.finger = prepared(plan, plant_spec, seed)
        n_core = len(self.world.probe_in)
        self.controller = Controller(n_core=n_core)
        self.recorder = recorder
        self.figures = Figures(plan, start_s)
        self.inputs: Any = Inputs(n_core)
        self.view = View()
        self.view.boot = "rehearsal"
        self.view.alerts = self.controller.alerts

    def run(self) -> dict[str, Any]:
        """Second after second until the plan is done."""
        began_s, second = time.perf_counter(), 0
        step, conductor = self._second, self.conductor
        while not conductor.done:
            second += 1
            if second > LONGEST_S:
                raise UserError(f"plan {self.plan.name!r}: not at its end after {LONGEST_S // 3600} h of simulation")
            step(second)
        if self.recorder is not None:
            self.recorder.finish(self.start_s + second)
        return self.figures.summary(self, second, time.perf_counter() - began_s)

    def _second(self, second: int) -> None:
        now_s, now_ms = self.start_s + second, second * 1000
        self.world.advance(1.0)
        self._sense()
        out = self.controller.tick(now_ms, self.inputs)
        self.world.set_air(out.drive, out.opening if self.plan.blower else None)
        self._see(now_s, now_ms, out)
        self.finger.now_s = now_s
        self.person.tick(now_s, self.conductor.prompts)
        actions = self.conductor.tick(now_s, self.view)
        if self.finger.actions:
            actions, self.finger.actions = self.finger.actions + actions, []
        if actions:
            self._carry_out(now_s, now_ms, actions)
        self.figures.second(now_s, out, self.view)
        events = self.controller.events
        if events:
            self.figures.events(now_s, events)
        if self.recorder is not None:
            self.recorder.second(now_s, now_ms, out, self.inputs, events)
        events.clear()

    def _sense(self) -> None:
        inputs, world = self.inputs, self.world
        inputs.pit_c, inputs.stone_c, inputs.board_c = world.pit_c, world.stone_c, world.board_c
        core = inputs.core_c
        for k in range(len(core)):
            core[k] = world.probe_c(k)
        inputs.tach_rpm = world.tach_rpm

    def _see(self, now_s: float, now_ms: int, out: Any) -> None:
        view, inputs = self.view, self.inputs
        view.heard_s, view.ms = now_s, now_ms
        view.mode, view.phase, view.why = out.mode, out.phase, out.why
        view.pit_c, view.stone_c, view.core_c = inputs.pit_c, inputs.stone_c, inputs.core_c
        view.target_c, view.duty, view.lid_open = out.target_c, out.duty, out.lid_open

    def _carry_out(self, now_s: float, now_ms: int, actions: list[Action]) -> None:
        for action in actions:
            if action.kind == "order":
                code, text = self.controller.order(action.name, action.args, now_ms)
                self.figures.order(now_s, action, code, text)
            else:
                self.figures.action(now_s, action)
            if self.recorder is not None:
                self.recorder.action(now_s, action)
