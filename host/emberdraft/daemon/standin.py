"""A stand-in for the person: acts on each prompt after a delay, with hands (the world) and a finger (the page).

The plan scripts it: how long it takes, how long the lid stays open, which prompts it forgets at first, so that the
repeats are exercised too. It sees only what the page shows and does only what a person can do.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Act, Piece, StandIn
from emberdraft.daemon.prompts import AT_COOKER, UNDER_LID
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.wrapping import Wrapping
from emberdraft.errors import UserError
from emberdraft.evening.cuts import cut_of, slab_m

LID_FIRST_S = 4.0
REST_STEP_S = 10.0
PLAIN_MASS_KG = 0.4


class Page(Protocol):
    """What a person can press: the service in a demonstration, the conductor in a rehearsal."""

    def answer(self, prompt_id: str, at_cooker: bool = False) -> Any:
        """Press a prompt's button."""

    def command(self, name: str, **args: Any) -> Any:
        """Press one of the buttons that are always there."""


Deed = Callable[[], object]


class Person:
    """Acts on prompts. `world` is plant.world.World or anything with the same methods. Times in unix s."""

    def __init__(self, plan: Plan, world: Any, page: Page) -> None:
        self.plan = plan
        self.world = world
        self.page = page
        self.script = plan.stand_in or StandIn()
        self.acts: dict[str, Act] = {act.prompt: act for act in self.script.acts}
        self.todo: list[tuple[float, Deed]] = []
        self.busy_with = ""
        self.indexes: dict[str, int] = {}
        self.resting: dict[str, int] = {}
        self.peak_c: dict[str, float] = {}
        self.forgotten = 0
        self.refused: list[str] = []
        self.wrapping = Wrapping(plan, world)
        self._rested_s = 0.0

    def tick(self, now_s: float, prompts: list[Prompt]) -> None:
        """One second: do what is due, or take up the prompt that is shown."""
        if self.todo:
            while self.todo and now_s >= self.todo[0][0]:
                self._do(self.todo.pop(0)[1])
        elif prompts:
            self._take_up(now_s, prompts[0])
        if self.resting and now_s - self._rested_s >= REST_STEP_S:
            self._rest(now_s)
        self.wrapping.look(now_s, self.indexes)

    def _do(self, deed: Deed) -> None:
        """A button that is refused was pressed by somebody else before: the hands have done their part."""
        try:
            deed()
        except UserError as error:
            self.refused.append(str(error))

    def follow(self, plan: Plan) -> None:
        """The plan as it has been changed meanwhile."""
        self.plan = plan

    # ---- taking up

    def _take_up(self, now_s: float, prompt: Prompt) -> None:
        act = self.acts.get(prompt.kind)
        if act is not None and prompt.said <= act.forgets:
            if self.busy_with != prompt.id:
                self.busy_with = prompt.id
                self.forgotten += 1
            return
        self.busy_with = prompt.id
        delay_s = act.delay_s if act is not None and act.delay_s is not None else self.script.delay_s
        lid_s = act.lid_s if act is not None and act.lid_s is not None else self.script.lid_s
        start_s = now_s + float(delay_s)
        for after_s, deed in self._routine(prompt, float(lid_s)):
            self.todo.append((start_s + after_s, deed))

    def _routine(self, prompt: Prompt, lid_s: float) -> list[tuple[float, Deed]]:
        """The deeds for a prompt with their seconds; the last one presses its button."""
        hands = getattr(self, f"_{prompt.kind}", None)
        inside: Deed | None = None if hands is None else lambda: hands(prompt)
        answer: Deed = lambda: self._answer(prompt)  # noqa: E731
        if prompt.kind not in UNDER_LID:
            return [*([(0.0, inside)] if inside else []), (1.0, answer)]
        steps: list[tuple[float, Deed]] = [(0.0, lambda: self.page.command("lid", open=True))]
        steps.append((LID_FIRST_S, self.world.open_lid))
        if inside is not None:
            steps.append((LID_FIRST_S + 0.7 * lid_s, inside))
        steps.append((LID_FIRST_S + lid_s, self.world.shut_lid))
        return [*steps, (LID_FIRST_S + lid_s + 1.0, answer)]

    def _answer(self, prompt: Prompt) -> None:
        self.page.answer(prompt.id, at_cooker=prompt.kind in AT_COOKER)

    # ---- hands

    def _light(self, prompt: Prompt) -> None:
        self.world.set_vent_bottom(prompt.vents.get("bottom", float(self.plan.light.vent_bottom)))
        self.world.set_vent_top(prompt.vents.get("top", float(self.plan.light.vent_top)))
        if self._can("light"):
            self.world.light()

    def _set_vents(self, prompt: Prompt) -> None:
        slow = self.plan.slow
        if slow is not None and slow.vent_top is not None:
            self.world.set_vent_top(float(slow.vent_top))
        if slow is not None and slow.vent_bottom is not None:
            self.world.set_vent_bottom(float(slow.vent_bottom))

    def _move_vent(self, prompt: Prompt) -> None:
        for which, opening in prompt.vents.items():
            (self.world.set_vent_top if which == "top" else self.world.set_vent_bottom)(opening)

    def _set_up(self, prompt: Prompt) -> None:
        parts = self.plan.set_up
        if parts is not None and self._can("add_mass"):
            start_c = self.plan.ambient_c if parts.start_c is None else parts.start_c
            self.world.set_in(float(parts.mass_kg), float(start_c))

    def _put_on(self, prompt: Prompt) -> None:
        for letter in prompt.letters:
            piece = self._piece(letter)
            self._put(piece, float(piece.start_c), piece.probe)

    def _pull(self, prompt: Prompt) -> None:
        for letter in prompt.letters:
            index = self.indexes.pop(letter)
            slab = self.world.take_off(index, True)
            if hasattr(slab, "core_c"):
                self.resting[letter] = index
                self.peak_c[letter] = slab.core_c

    _check = _pull

    def _open_vent(self, prompt: Prompt) -> None:
        if "bottom" in prompt.vents:
            self.world.set_vent_bottom(prompt.vents["bottom"])
        self.world.set_vent_top(1.0)

    def _sear_on(self, prompt: Prompt) -> None:
        for letter in prompt.letters:
            piece = self._piece(letter)
            rested = self.resting.pop(letter, None)
            if rested is not None and self._can("put_back"):
                self.indexes[letter] = self.world.sear_rested(rested, piece.probe)
            else:
                self._put(piece, piece.final_c - 3.0, piece.probe)

    def _take_off(self, prompt: Prompt) -> None:
        for letter in prompt.letters:
            self.world.take_off(self.indexes.pop(letter))

    def _shut_vents(self, prompt: Prompt) -> None:
        self.world.set_vent_top(0.0)
        self.world.set_vent_bottom(0.0)

    def _put(self, piece: Piece, start_c: float, probe: int | None) -> None:
        """By the size that the plan says; else by what is usual for its cut, as the evenings take it."""
        thickness_m = None if piece.thickness_m is None else float(piece.thickness_m)
        mass_kg = float(piece.mass_kg or PLAIN_MASS_KG)
        cut = cut_of(piece.cut, thickness_m, mass_kg, float(piece.pull_c))
        thickness_m = thickness_m or slab_m(cut, mass_kg)
        self.indexes[piece.letter] = self.world.put_on(piece.name, mass_kg, thickness_m, start_c, probe)

    def _piece(self, letter: str) -> Piece:
        return next(piece for piece in self.plan.pieces if piece.letter == letter)

    def _can(self, method: str) -> bool:
        """A plant of another's making may have no such ability; a world reached from afar says so itself."""
        plant = getattr(self.world, "plant", None)
        return plant is None or callable(getattr(plant, method, None))

    def _rest(self, now_s: float) -> None:
        """What was pulled goes on cooking inside, with its probe left in: how far does it rise?"""
        self._rested_s = now_s
        for letter in self.resting:
            probe = self._piece(letter).probe
            core_c = None if probe is None else self.world.probe_c(probe)
            if core_c is not None:
                self.peak_c[letter] = max(self.peak_c[letter], core_c)
