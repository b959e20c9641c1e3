"""A cook without a fire, for the conductor's tests: a board that does what it is ordered, and a clock in the hand."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.conductor import Action, Conductor, View
from emberdraft.daemon.plan import Plan, example_text, parse_plan

START_S = 1_000_000.0


def plan_of(*changes: tuple[str, str], name: str = "two_chops") -> Plan:
    """A packaged plan with some of its words replaced."""
    text = example_text(name)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return parse_plan(text)


class Cook:
    """Drives a conductor; `pit_c`, `stone_c`, `core_c` are set by the test."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.conductor = Conductor(plan)
        self.view = View()
        self.view.boot, self.view.mode, self.view.pit_c, self.view.stone_c = "b1", "off", 20.0, 20.0
        self.view.core_c = [5.0, 5.0]
        self.now_s = START_S
        self.log: list[Action] = []
        self.obeys = True
        self.heard = True

    def tick(self, seconds: int = 1) -> list[Action]:
        """Let seconds pass; the actions of that time."""
        first = len(self.log)
        for _ in range(seconds):
            self.now_s += 1.0
            if self.heard:
                self.view.heard_s = self.now_s
            self._take(self.conductor.tick(self.now_s, self.view))
        return self.log[first:]

    def answer(self, kind: str, at_cooker: bool = True) -> list[Action]:
        """Press the button of the prompt of this kind."""
        prompt = next(p for p in self.conductor.prompts if p.kind == kind)
        return self._take(self.conductor.answer(prompt.id, self.now_s, at_cooker))

    def command(self, name: str, **args: Any) -> list[Action]:
        """Press one of the buttons that are always there."""
        return self._take(self.conductor.command(name, self.now_s, **args))

    def kinds(self) -> list[str]:
        """The prompts that are up."""
        return [prompt.kind for prompt in self.conductor.prompts]

    def orders(self, name: str = "mode") -> list[dict[str, Any]]:
        """The orders of this name so far."""
        return [action.args for action in self.log if action.kind == "order" and action.name == name]

    def marks(self) -> list[str]:
        """The marks so far."""
        return [action.name for action in self.log if action.kind == "mark"]

    def to(self, step: str) -> Cook:
        """Through the whole cook, as a person would, up to a step."""
        for _ in range(40):
            if self.conductor.step == step:
                return self
            self._onward()
        raise AssertionError(f"{step} was never reached; it stands at {self.conductor.step}")

    def _onward(self) -> None:
        step = self.conductor.step
        self._answer_all()
        if step in ("light", "soak", "settle"):
            self.view.pit_c = 115.0
        elif step == "climb":
            self.view.stone_c = 270.0
        elif step == "slow" and self.conductor.stage.letters("in"):
            self.view.core_c = [60.0, 60.0]
        for _ in range(2000):
            if self.conductor.step != step or self.conductor.prompts:
                return
            self.tick()

    def _answer_all(self) -> None:
        self.tick()
        while self.conductor.prompts:
            prompt = self.conductor.prompts[0]
            self._take(self.conductor.answer(prompt.id, self.now_s, True))

    def _take(self, actions: list[Action]) -> list[Action]:
        self.log += actions
        for action in actions:
            if action.kind == "order" and self.obeys:
                self._obey(action)
        return actions

    def _obey(self, action: Action) -> None:
        args = action.args
        if action.name == "mode":
            self.view.mode, self.view.phase = args["mode"], args["phase"]
            self.view.target_c = args.get("stone_c", args.get("target_c", self.view.target_c))
        elif action.name == "target":
            self.view.target_c = args["target_c"]
        elif action.name == "lid":
            self.view.lid_open = args["open"]
