"""The ground that the conductor's watchers and deeds stand on: the plan, the run, the view, and what to put out."""

from __future__ import annotations

import copy
from typing import Any

from msgspec.structs import replace

from emberdraft.daemon import prompts
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Piece
from emberdraft.daemon.prompts import OPENED_THERE
from emberdraft.daemon.run import Action, PhaseRun, PieceRun, Prompt, Run, View, new_run
from emberdraft.daemon.steps import STEPS, next_step
from emberdraft.daemon.wanted import Wanted, agrees, at_cooker, order_args, raises, target_of, wanted
from emberdraft.ready.coach import VentCoach
from emberdraft.said import Text

LAG_S = 300.0
# Food that is due stays due; a vent that is asked for is not asked anew because the plan went on.
STAYING = ("pull", "check", "move_vent")


class Stage:
    """Changes the run and collects actions. Times in unix s."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.run: Run = new_run(plan)
        self.as_written = plan
        self.view = View()
        self.now_s = 0.0
        self.out: list[Action] = []
        self.plan_pieces: dict[str, Piece] = {piece.letter: piece for piece in plan.pieces}
        self.coach: VentCoach | None = None
        self.holds: float | None = None  # the top vent that held it in earlier cooks of this cooker
        self.looked_s = 0.0

    def follow_person(self) -> None:
        """The plan with the probes as a person has put them right in the cook."""
        probes = self.run.probes
        pieces = [replace(piece, probe=probes.get(piece.letter, piece.probe)) for piece in self.as_written.pieces]
        self.plan = replace(self.as_written, pieces=pieces)
        self.plan_pieces = {piece.letter: piece for piece in pieces}

    def kept(self) -> tuple[Any, ...]:
        """All that a change may alter, for `back_to`: a refusal half way leaves it as it was."""
        return copy.deepcopy(self.run), self.as_written, self.now_s, len(self.out)

    def back_to(self, kept: tuple[Any, ...]) -> None:
        """As it was when it was kept."""
        self.run, self.as_written, self.now_s, out = kept
        del self.out[out:]
        self.follow_person()

    def forward(self, now_s: float) -> float:
        """A reading's time lags a little behind the clock of a person's press: the plan's time never runs back."""
        return self.now_s if 0.0 < self.now_s - now_s < LAG_S else now_s

    # ---- saying

    def do(self, kind: str, name: str, **args: Any) -> None:
        """Put an action out."""
        self.out.append(Action(kind, name, args))

    def order(self, name: str, **args: Any) -> None:
        """Put an order for the board out."""
        self.out.append(Action("order", name, args))

    def mark(self, kind: str, value: float | None = None, text: str = "") -> None:
        """Note what the person did."""
        self.out.append(Action("mark", kind, {"value": value, "text": text}))

    def say(self, text: Text) -> None:
        """A line for the status of the page."""
        self.out.append(Action("say", "", {"text": text}))

    # ---- prompts

    def ask(
        self, kind: str, letters: list[str] | None = None, value_c: float | None = None,
        vents: dict[str, float] | None = None, why: Text = "",
    ) -> None:  # fmt: skip
        """Ask for a deed, once: the same prompt for the same pieces is not put up twice."""
        letters = letters or []
        for prompt in self.run.prompts:
            if prompt.kind == kind and prompt.letters == letters:
                return
        self.run.asked += 1
        prompt = prompts.make_prompt(
            self.plan, kind, self.run.asked, letters, self.now_s, value_c, vents, why, self.run.by_hand
        )
        self.run.prompts.append(prompt)
        self.run.prompts.sort(key=lambda p: (prompts.rank(p), p.since_s))
        self.do("prompt", prompt.kind, id=prompt.id, title=prompt.title, again=0)

    def drop(self, *kinds: str) -> None:
        """Take prompts of these kinds away."""
        self.run.prompts = [prompt for prompt in self.run.prompts if prompt.kind not in kinds]

    def asked(self, kind: str) -> bool:
        """Whether a prompt of this kind is up."""
        return any(prompt.kind == kind for prompt in self.run.prompts)

    def find(self, prompt_id: str) -> Prompt | None:
        """The prompt with this id, if it is still up."""
        return next((prompt for prompt in self.run.prompts if prompt.id == prompt_id), None)

    # ---- steps

    @property
    def phase(self) -> str:
        """The phase in force, '' before the fire is lit."""
        return STEPS[self.run.step].phase

    def go(self, event: str) -> None:
        """Follow the table. The prompts of the step that is left go with it, but for those that stay."""
        before = self.run.step
        step = next_step(before, event, self.plan, self.run.before)
        self.run.prompts = [p for p in self.run.prompts if _stays(p, step)]
        if event == "go_back":
            since_s = self.run.before_since_s
            self._enter(step)
            self.run.since_s = since_s
            return
        if before != "bank":
            self.run.before, self.run.before_since_s = before, self.run.since_s
        self._enter(step)

    def turn_to(self, step: str) -> None:
        """Another step of the same phase, where the plan no longer has the one in force."""
        self.run.prompts = [p for p in self.run.prompts if _stays(p, step)]
        self._enter(step)

    def _enter(self, step: str) -> None:
        run = self.run
        old_phase, run.step, run.since_s = self.phase, step, self.now_s
        run.good_since_s = None
        run.look_s = self.now_s
        if self.phase != old_phase:
            self._enter_phase(self.phase)
        want = self.wanted()
        # With nothing on its way and the board doing it already, the same order again would only need a person again.
        if want is not None and not (run.agreed and agrees(want, self.view)):
            self.send()
        if step == "done":
            self._end_phase()
            self.do("end", "plan done")

    def _enter_phase(self, phase: str) -> None:
        self._end_phase()
        target_c = target_of(self.plan, self.run, phase)
        self.run.phases.append(PhaseRun(phase, self.now_s, target_c))
        self.do("phase", phase, target_c=target_c)

    def _end_phase(self) -> None:
        if self.run.phases and self.run.phases[-1].end_s is None:
            self.run.phases[-1].end_s = self.now_s

    # ---- the board

    def wanted(self) -> Wanted | None:
        """What the step asks of the board."""
        return wanted(self.plan, self.run, self.phase)

    def send(self) -> None:
        """Order what the step wants, unless that raises heat and nobody is there: then ask."""
        want = self.wanted()
        if want is None:
            return
        there = at_cooker(self.run, self.now_s)
        if not there and raises(want, self.view):
            self.ask("go_on", value_c=want.target_c)
            return
        self.run.sent_s = self.now_s
        self.run.agreed = False
        self.order("mode", **order_args(want, there))

    def send_pieces(self) -> None:
        """Tell the board at which core temperature it must sound, for each probe: it needs no host for that."""
        probes = [piece.probe for piece in self.plan.pieces if piece.probe is not None]
        if not probes:
            return
        pull_c: list[float | None] = [None] * (max(probes) + 1)
        for piece in self.plan.pieces:
            if piece.probe is not None and self.piece(piece.letter).state == "in":
                pull_c[piece.probe] = float(piece.pull_c)
        self.order("pieces", pull_c=pull_c)

    def acknowledge(self, alert: str) -> None:
        """The deed answers this alert of the board, if it stands."""
        if alert in self.view.alerts:
            self.order("acknowledge", id=alert)

    def present(self) -> None:
        """Somebody says to stand at the cooker, having seen the newest reading."""
        self.run.at_cooker_s, self.run.seen_ms = self.now_s, self.view.ms

    def lid(self, is_open: bool) -> None:
        """Tell the board about the lid when that changes anything; what its button opened, only from the cooker."""
        there = at_cooker(self.run, self.now_s) and self.run.seen_ms is not None
        if is_open or there or self.view.why != OPENED_THERE:
            seen = {"at_cooker": True, "seen_ms": self.run.seen_ms} if there and not is_open else {}
            if is_open or self.run.lid_asked_open or self.view.lid_open:
                self.order("lid", open=is_open, **seen)
                self.mark("lid_open" if is_open else "lid_shut")
        self.run.lid_asked_open = is_open

    def vent(self, which: str, opening: float) -> None:
        """Note a vent that was set by hand, here and on the board."""
        setattr(self.run, f"vent_{which}", opening)
        self._overtake(which, opening)
        self.mark(f"vent_{which}", opening)
        self.order("vent", vent=which, opening=opening)

    def _overtake(self, which: str, opening: float) -> None:
        """Asked or not, a vent is set: what was asked of it is done or overtaken."""
        run = self.run
        run.prompts = [p for p in run.prompts if p.kind != "move_vent" or which not in p.vents]
        if self.coach is not None:
            self.coach.moved(which, opening, self.now_s)
            run.coach = self.coach.kept()

    # ---- pieces

    def piece(self, letter: str) -> PieceRun:
        """The run of a piece."""
        return next(piece for piece in self.run.pieces if piece.letter == letter)

    def letters(self, *states: str) -> list[str]:
        """The letters of the pieces in these states."""
        return [piece.letter for piece in self.run.pieces if piece.state in states]

    def core_c(self, letter: str) -> float | None:
        """The core temperature of a piece, when it has a probe with a value."""
        probe = self.plan_pieces[letter].probe
        values = self.view.core_c
        return values[probe] if probe is not None and probe < len(values) else None

    def slow_start_s(self) -> float:
        """When the slow phase's own time began: settling after the set-up is not counted."""
        return self.run.since_s if self.run.step == "slow" else self.now_s


def _stays(prompt: Prompt, step: str) -> bool:
    """Whether a prompt goes along into the next step: a vent only while the coach holds, nothing into the end."""
    coached = STEPS[step].coached if prompt.kind == "move_vent" else step != "done"
    return prompt.kind in STAYING and coached
