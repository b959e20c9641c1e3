"""The conductor: carries a plan through its phases, asks the person for one thing at a time, orders the board.

    conductor = Conductor(plan)
    for action in conductor.tick(now_s, view): ...      # once a second
    conductor.answer(prompt_id, now_s, at_cooker=True)   # a prompt's button
    conductor.command("bank", now_s)                     # what a person may want at any time

Pure: time (unix seconds) and the view are passed in, actions come out. What is refused raises and changes nothing.
Steps, one record each, are in steps.py, what is waited for in watch.py, what follows from a deed in deeds.py.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import msgspec

from emberdraft.daemon import as_it_goes, commands, hand_watch, prompts
from emberdraft.daemon.deeds import DEEDS
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.run import Action, Prompt, Run, View
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.steps import STEPS, RefusedError, ThereError
from emberdraft.daemon.wanted import AGAIN_S, agrees

__all__ = ["Action", "Conductor", "Prompt", "RefusedError", "View"]

T = TypeVar("T")
COMMANDS = {**commands.COMMANDS, **as_it_goes.COMMANDS}


class Conductor:
    """Carries out one plan."""

    def __init__(self, plan: Plan) -> None:
        self.stage = Stage(plan)

    # ---- what others read

    @property
    def plan(self) -> Plan:
        """The plan, with probes as a person has corrected them."""
        return self.stage.plan

    @property
    def run(self) -> Run:
        """The whole state."""
        return self.stage.run

    @property
    def step(self) -> str:
        """The step in force; see steps.py."""
        return self.stage.run.step

    @property
    def phase(self) -> str:
        """The phase in force, '' before the fire is lit."""
        return self.stage.phase

    @property
    def done(self) -> bool:
        """Whether the plan is at its end."""
        return self.stage.run.step == "done"

    @property
    def prompts(self) -> list[Prompt]:
        """What the person is asked to do; the first is shown."""
        return self.stage.run.prompts

    # ---- time passes

    def tick(self, now_s: float, view: View) -> list[Action]:
        """One second: look at the view, move on, ask, order. Cheap when nothing happens."""
        stage = self.stage
        now_s = stage.forward(now_s)
        stage.now_s, stage.view = now_s, view
        if view.fresh(now_s):
            self._watch_board(now_s, view)
            hand_watch.watch(stage, view)
            STEPS[stage.run.step].watch(stage, view)
            if len(stage.run.gains_done) < len(self.plan.gains) and not stage.run.by_hand:
                self._change_gains()
        # With the lid told open the person is at it: nothing is said again until it is shut.
        for prompt in () if stage.run.lid_asked_open else stage.run.prompts:
            if now_s - prompt.said_s >= prompts.repeat_after_s(self.plan, prompt.kind):
                self._say_again(prompt)
        return self._take()

    def _say_again(self, prompt: Prompt) -> None:
        prompt.said += 1
        prompt.said_s = self.stage.now_s
        self.stage.do("prompt", prompt.kind, id=prompt.id, title=prompt.title, again=prompt.said - 1)

    def _watch_board(self, now_s: float, view: View) -> None:
        """See to it that the board does what the step wants; see wanted.py."""
        stage, run = self.stage, self.stage.run
        if view.boot != run.boot:
            self._meet_boot(view.boot)
        want = stage.wanted()
        if want is None:
            return
        if run.agreed and view.mode == "bank" and want.mode != "bank":
            # Over its limit the board puts the fire out itself, and is not healthy then: followed at once.
            stage.say("The board has put the fire out by itself")
            stage.go("banked")
            return
        if not view.healthy(now_s):
            return
        if run.after_boot:
            self._tell_again()
        if agrees(want, view):
            run.agreed = True
            if run.prompts:
                stage.drop("go_on")
        elif run.sent_s is None or now_s - run.sent_s >= AGAIN_S:
            stage.send()

    def _meet_boot(self, boot: str) -> None:
        """Another boot: what the board was told is gone, and so is the word that somebody stands at the cooker."""
        run = self.stage.run
        if run.boot:
            run.after_boot, run.agreed, run.at_cooker_s, run.seen_ms = True, False, None, None
            self.stage.say("The board has started again")
        run.boot = boot

    def _tell_again(self) -> None:
        """Tell a board that has started again what does not raise heat: vents, gains, pull temperatures."""
        stage, run = self.stage, self.stage.run
        run.after_boot = False
        for which, opening in (("top", run.vent_top), ("bottom", run.vent_bottom)):
            if opening is not None:
                stage.order("vent", vent=which, opening=opening)
        if run.gains:
            stage.order("gains", **run.gains)
        if stage.letters("in"):
            stage.send_pieces()

    def _change_gains(self) -> None:
        run = self.stage.run
        if not run.phases or run.phases[-1].end_s is not None:
            return
        spent_s = self.stage.now_s - run.phases[-1].start_s
        for i, change in enumerate(self.plan.gains):
            if i not in run.gains_done and change.phase == run.phases[-1].name and spent_s >= change.after_s:
                run.gains_done.append(i)
                commands.change_gains(self.stage, kp=change.kp, ti_s=change.ti_s, td_s=change.td_s, b=change.b)

    # ---- a person acts

    def answer(self, prompt_id: str, now_s: float, at_cooker: bool = False) -> list[Action]:
        """A prompt's button was pressed; RefusedError when it is not up, or needs a person at the cooker."""
        prompt = self.stage.find(prompt_id)
        if prompt is None:
            raise RefusedError(f"prompt {prompt_id!r}: not asked now; answer the one that is shown")
        if prompt.at_cooker and not at_cooker:
            raise RefusedError(f"{prompt.title!r}: needs you at the cooker; press it there, with 'I am at the cooker'")
        return self._change(now_s, lambda stage: self._deed(stage, prompt_id, at_cooker))

    def _deed(self, stage: Stage, prompt_id: str, at_cooker: bool) -> None:
        prompt = stage.find(prompt_id)
        if prompt is None:
            return
        if at_cooker:
            stage.present()
        stage.run.prompts.remove(prompt)
        DEEDS[prompt.kind](stage, prompt)

    def command(self, name: str, now_s: float, **args: Any) -> list[Action]:
        """What a person may want at any time; see commands.py for the names and arguments."""
        handler = _handler(name)
        return self._change(now_s, lambda stage: commands.call(handler, name, stage, args))

    def _change(self, now_s: float, change: Callable[[Stage], None]) -> list[Action]:
        """All or nothing: a refusal half way leaves the run as it was."""
        stage = self.stage
        kept = stage.kept()
        stage.now_s = stage.forward(now_s)
        try:
            change(stage)
        except Exception:
            stage.back_to(kept)
            raise
        return self._take()

    def would(self, name: str, now_s: float, look: Callable[[Stage], T], **args: Any) -> tuple[T, bool]:
        """What `look` sees after a command that is not given, and whether it needs somebody at the cooker."""
        stage = self.stage
        kept = stage.kept()
        try:
            return look(self._tried(name, now_s, args)), False
        except ThereError:
            stage.back_to(kept)
            kept = stage.kept()
            return look(self._tried(name, now_s, args | {"at_cooker": True})), True
        finally:
            stage.back_to(kept)

    def _tried(self, name: str, now_s: float, args: dict[str, Any]) -> Stage:
        stage = self.stage
        stage.now_s = stage.forward(now_s)
        commands.call(_handler(name), name, stage, args)
        return stage

    def _take(self) -> list[Action]:
        out, self.stage.out = self.stage.out, []
        return out

    # ---- over a restart of the host

    def state(self) -> dict[str, Any]:
        """All that must survive a restart, as plain JSON."""
        built: dict[str, Any] = msgspec.to_builtins(self.stage.run)
        return built

    def restore(self, state: dict[str, Any]) -> None:
        """Go on where `state` left off; RefusedError when it does not fit this plan."""
        try:
            run = msgspec.convert(state, Run)
        except msgspec.ValidationError as error:
            raise RefusedError(f"saved state: {error}; begin the cook anew") from None
        if run.text:
            self.stage.as_written = parse_plan(run.text)
        letters = [piece.letter for piece in run.pieces]
        if run.step not in STEPS or letters != [piece.letter for piece in self.stage.as_written.pieces]:
            raise RefusedError(
                f"saved state: step {run.step!r}, pieces {letters}: not of this plan; begin the cook anew"
            )
        self.stage.run = run
        self.stage.coach = None
        self.stage.follow_person()


def _handler(name: str) -> commands.Handler:
    if name not in COMMANDS:
        raise RefusedError(f"command {name!r}: one of {', '.join(sorted(COMMANDS))} would be right")
    return COMMANDS[name]
