"""The steps of a cook, in its order: one record says all that is particular to a step, and what follows derives.

A step is finer than a phase: asking for the climb is a step of its own inside the phase `slow`, so that nothing starts
without a yes. The step that has its phase's name speaks for the phase. An event either comes from a person (a deed, a
command) or from the readings. An event that a step does not know is refused, and a refusal changes nothing.

To add a step is to put a record where it stands in the cook; what it waits for is a function of watch.py.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

from emberdraft.daemon import at_end, cautions, sear, stretches, watch
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import View
from emberdraft.errors import UserError
from emberdraft.phases import held_in
from emberdraft.ready.fuel import Stretch
from emberdraft.said import Temperature, Text, said

if TYPE_CHECKING:
    from emberdraft.daemon.stage import Stage

BEFORE = "<the step before>"
SEAR_DEED_S = 60.0


class Step(NamedTuple):
    """The functions of a plan are asked only where `in_plan` says that it has the step."""

    name: str
    phase: str
    watch: Callable[[Stage, View], None]
    ends: tuple[str, ...] = ()  # the events that lead to the next step of the plan
    turns: tuple[tuple[str, str], ...] = ()  # other events, and to which step they lead
    in_plan: Callable[[Plan], bool] = lambda plan: True
    expected_s: Callable[[Any], float] = lambda plan: 0.0
    stretch: Callable[[Plan], Stretch] | None = None  # the heat it needs charcoal for
    coming: Callable[[Any], Text] | None = None  # what is said of it while it is to come
    cautions: tuple[str, ...] = ()
    coached: bool = False  # without a blower: the vent coach holds the pit
    stone: str = ""  # the twin is 'asked' when the stone will be hot; its answer is 'kept'

    @property
    def holds(self) -> str | None:
        """'pit', 'stone' or None."""
        return held_in(self.phase)

    @property
    def meat_out(self) -> bool:
        """Whether the food is out of the slow phase and the climb has not begun: the stone is being waited for."""
        return self.phase == "slow" and self.stone == "asked"

    @property
    def burning(self) -> bool:
        """Whether it is watched that the charcoal lasts: until the stone is hot."""
        return self.holds is not None and self.stone != "kept"

    def follows(self) -> dict[str, str]:
        """Event -> step (BEFORE: where it came from). The fire can be put out wherever heat is held or raised."""
        out = dict.fromkeys(("put_out", "banked"), "bank") if self.holds else {}
        return {**{event: _NEXT[self.name] for event in self.ends}, **out, **dict(self.turns)}


def _at(target_c: Any) -> Temperature:
    return Temperature(float(target_c))


def _climbs(plan: Plan) -> bool:
    return plan.climb is not None


def _sears(plan: Plan) -> bool:
    return plan.sear is not None


def _asks_at_its_end(plan: Plan) -> bool:
    return plan.at_end == "ask"


# `skip`: a person may hurry what is only waiting; what asks for a yes cannot be skipped.
STEPS = {
    step.name: step
    for step in (
        Step("ready", "", watch.ready, ("lit",), turns=(("put_out", "done"),)),
        Step(
            "light",
            "light",
            watch.light,
            ("at_heat", "skip"),
            expected_s=lambda plan: plan.light.expect_s,
            stretch=stretches.light,
            coming=lambda plan: "Light the fire",
            cautions=(cautions.CARBON_MONOXIDE, cautions.EMBERS, cautions.CIRCLE),
            coached=True,
        ),
        Step(
            "soak",
            "soak",
            watch.soak,
            ("soaked", "skip"),
            in_plan=lambda plan: plan.soak is not None,
            expected_s=lambda plan: plan.soak.least_s,
            stretch=stretches.soak,
            coming=lambda plan: said("Soak at {pit}: the walls take up heat", pit=_at(plan.light.target_c)),
            cautions=(cautions.CIRCLE,),
            coached=True,
        ),
        Step(
            "set_up",
            "soak",
            watch.set_up,
            ("set_in",),
            in_plan=lambda plan: plan.set_up is not None,
            expected_s=lambda plan: 360.0,
            coached=True,
        ),
        Step(
            "settle",
            "slow",
            watch.settle,
            ("settled", "skip"),
            in_plan=lambda plan: plan.set_up is not None and plan.slow is not None,
            expected_s=lambda plan: 600.0,
            coached=True,
        ),
        Step(
            "slow",
            "slow",
            watch.slow,
            ("all_out", "skip"),
            in_plan=lambda plan: plan.slow is not None,
            expected_s=lambda plan: plan.slow.expect_s if plan.slow.for_s is None else plan.slow.for_s,
            stretch=stretches.slow,
            coming=lambda plan: said("Slow at {pit}", pit=_at(plan.slow.target_c)),
            cautions=(cautions.FLARE,),
            coached=True,
        ),
        Step(
            "rest",
            "slow",
            watch.rest,
            ("rested", "skip"),
            in_plan=lambda plan: bool(plan.pieces) and plan.climb is None,
            coached=True,
            stone="asked",
        ),
        Step("ask_vent", "slow", watch.ask_vent, ("vent_open",), in_plan=_climbs, stone="asked"),
        Step("ask_climb", "slow", watch.ask_climb, ("yes",), in_plan=_climbs, stone="asked"),
        Step(
            "climb",
            "climb",
            watch.climb,
            ("stone_ready", "skip"),
            in_plan=_climbs,
            expected_s=lambda plan: plan.climb.expect_s,
            stretch=stretches.climb,
            coming=lambda plan: said("Start the climb to {stone}, if you agree then", stone=_at(plan.climb.stone_c)),
            cautions=(cautions.NOBODY_OVER, cautions.GREASE, cautions.CIRCLE),
            stone="asked",
        ),
        Step("ask_sear", "climb", watch.ask_sear, ("there",), in_plan=_sears, stone="kept"),
        Step(
            "sear",
            "sear",
            sear.watch,
            ("seared", "skip"),
            in_plan=_sears,
            expected_s=lambda plan: len(sear.groups(plan)) * (plan.sear.sides * plan.sear.per_side_s + SEAR_DEED_S),
            stretch=stretches.sear,
            coming=lambda plan: "Sear",
            cautions=(cautions.GREASE, cautions.FLARE),
            stone="kept",
        ),
        Step("ask_end", "slow", at_end.watch, ("unanswered", "skip"), in_plan=_asks_at_its_end, coached=True),
        Step(
            "bank",
            "bank",
            watch.bank,
            ("starved", "skip"),
            turns=(("go_back", BEFORE),),
            expected_s=lambda plan: plan.bank.longest_s,
            coming=lambda plan: "Put the fire out" if plan.at_end == "bank" else "Say: put the fire out, or hold on",
            cautions=(cautions.STARVED, cautions.CARBON_MONOXIDE, cautions.ASH),
        ),
        Step("done", "bank", watch.done),
    )
}
_NEXT = dict(zip(STEPS, [*STEPS][1:], strict=False))


class RefusedError(UserError):
    """What a person asked cannot be done now. Nothing has changed."""


class ThereError(RefusedError):
    """It raises heat, and nobody has said to stand at the cooker."""


def next_step(step: str, event: str, plan: Plan, before: str = "") -> str:
    """The step after `event`; RefusedError if there is none. A step that the plan does not have is passed over."""
    follows = STEPS[step].follows()
    target = follows.get(event)
    if target is None:
        allowed = ", ".join(follows) or "nothing more"
        raise RefusedError(f"{event!r}: not possible in {step!r}; possible there: {allowed}")
    if target == BEFORE:
        if not before:
            raise RefusedError("'go_back': there is no step to go back to; start a new cook")
        return before
    while not STEPS[target].in_plan(plan):
        target = _NEXT[target]
    return target


def step_s(plan: Plan, name: str) -> float:
    """How long a step is reckoned to take, s; nothing where the plan does not have it."""
    step = STEPS[name]
    return float(step.expected_s(plan)) if step.in_plan(plan) else 0.0


def expected_s(plan: Plan, phase: str) -> float:
    """How long a phase is reckoned to take, s."""
    return sum(step_s(plan, step.name) for step in STEPS.values() if step.phase == phase)


def stretches_of(plan: Plan) -> list[Stretch]:
    """The steps that burn, in order; putting it out burns next to nothing."""
    return [step.stretch(plan) for step in STEPS.values() if step.stretch is not None and step.in_plan(plan)]


def stretches_left(plan: Plan, entered: list[str], left_s: float) -> list[Stretch]:
    """What is still to come: the phase in force for `left_s` seconds more, and every later one; `entered` in order."""
    if not entered:
        return stretches_of(plan)
    now = entered[-1]
    rest = [stretch for stretch in stretches_of(plan) if stretch.phase == now or stretch.phase not in entered]
    return [replace(stretch, seconds=left_s) if stretch.phase == now else stretch for stretch in rest]


def diagram() -> str:
    """The table as text, a row for each step, for the docs: they are checked against it."""
    rows = []
    for step in STEPS.values():
        edges = [f"{event} -> {'back' if to == BEFORE else to}" for event, to in step.follows().items()]
        rows.append(f"{step.name}: {', '.join(edges) or 'the end'}")
    return "\n".join(rows)
