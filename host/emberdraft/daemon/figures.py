"""The figures of a rehearsal: collected second by second at little cost, told at the end."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import Action, View
from emberdraft.phases import held_in

NEAR_C = 3.0


class PhaseFigures:
    """What a phase did to the pit, or in climb and sear to the stone. Temperatures in degC, times in s."""

    def __init__(self, name: str, start_s: float, target_c: float | None) -> None:
        self.name = name
        self.start_s = start_s
        self.target_c = target_c
        self.stone = held_in(name) == "stone"
        self.seconds = 0
        self.near_s = 0
        self.air_s = 0.0
        self.reached_s: float | None = None
        self.highest_c: float | None = None

    def second(self, now_s: float, value_c: float | None, duty: float) -> None:
        """One second of the phase."""
        self.seconds += 1
        self.air_s += duty
        if value_c is None:
            return
        if self.highest_c is None or value_c > self.highest_c:
            self.highest_c = value_c
        if self.target_c is None:
            return
        gap_c = value_c - self.target_c
        if -NEAR_C <= gap_c <= NEAR_C:
            self.near_s += 1
        if self.reached_s is None and gap_c >= -NEAR_C:
            self.reached_s = now_s

    def row(self) -> dict[str, Any]:
        """The figures of the phase, units in the keys."""
        held = "stone" if self.stone else "pit"
        over = None if self.highest_c is None or self.target_c is None else round(self.highest_c - self.target_c, 1)
        return {
            "phase": self.name,
            "held": held,
            "target_c": self.target_c,
            "duration_s": self.seconds,
            "time_to_target_s": None if self.reached_s is None else round(self.reached_s - self.start_s),
            "highest_c": None if self.highest_c is None else round(self.highest_c, 1),
            "overshoot_c": over,
            "within_3c_share": round(self.near_s / self.seconds, 3) if self.seconds and self.target_c else None,
            "mean_air_share": round(self.air_s / self.seconds, 3) if self.seconds else None,
        }


class Figures:
    """Collects while a rehearsal runs."""

    def __init__(self, plan: Plan, start_s: float) -> None:
        self.plan = plan
        self.start_s = start_s
        self.phases: list[PhaseFigures] = []
        self.phase: PhaseFigures | None = None
        self.marks: list[tuple[float, str, str]] = []
        self.orders = 0
        self.refused: list[str] = []
        self.alerts: list[tuple[float, str]] = []
        self.prompts = 0
        self.repeats = 0

    def second(self, now_s: float, out: Any, view: View) -> None:
        """One second of the cook."""
        phase = self.phase
        if phase is not None:
            phase.second(now_s, view.stone_c if phase.stone else view.pit_c, out.duty)

    def events(self, now_s: float, events: list[tuple[str, float | None, float | None, str]]) -> None:
        """Events of the board: alerts are told in the summary."""
        self.alerts += [(now_s, text) for kind, _, _, text in events if kind == "alert"]

    def order(self, now_s: float, action: Action, code: str, text: str) -> None:
        """An order and the board's answer."""
        self.orders += 1
        if code:
            self.refused.append(f"{action.name}: {code}: {text}")

    def action(self, now_s: float, action: Action) -> None:
        """A mark, a phase or a prompt of the conductor."""
        if action.kind == "phase":
            self.phase = PhaseFigures(action.name, now_s, action.args["target_c"])
            self.phases.append(self.phase)
        elif action.kind == "mark":
            self.marks.append((now_s, action.name, action.args["text"]))
        elif action.kind == "prompt":
            self.prompts += 1
            self.repeats += action.args["again"] > 0

    def summary(self, rehearsal: Any, seconds: int, wall_s: float) -> dict[str, Any]:
        """All figures; keys carry their units."""
        return {
            "plan": self.plan.name,
            "invented": True,
            "simulated_s": seconds,
            "wall_s": round(wall_s, 3),
            "times_real": round(seconds / wall_s) if wall_s > 0.0 else None,
            "phases": [phase.row() for phase in self.phases],
            "pieces": [self._piece(rehearsal, piece.letter) for piece in self.plan.pieces],
            "marks": [
                {"at_s": round(at_s - self.start_s), "kind": kind, "text": text} for at_s, kind, text in self.marks
            ],
            "prompts": self.prompts,
            "repeats": self.repeats,
            "forgotten": rehearsal.person.forgotten,
            "person_refused": rehearsal.person.refused,
            "orders": self.orders,
            "orders_refused": self.refused,
            "alerts": [{"at_s": round(at_s - self.start_s), "id": name} for at_s, name in self.alerts],
        }

    def _piece(self, rehearsal: Any, letter: str) -> dict[str, Any]:
        run = rehearsal.conductor.stage.piece(letter)
        plan = rehearsal.conductor.stage.plan_pieces[letter]
        peak_c = rehearsal.person.peak_c.get(letter)
        return {
            "letter": letter,
            "name": plan.name,
            "pull_c": float(plan.pull_c),
            "pulled_c": None if run.pulled_c is None else round(run.pulled_c, 1),
            "time_to_pull_s": None if run.pulled_s is None or run.on_s is None else round(run.pulled_s - run.on_s),
            "final_c": float(plan.final_c),
            "peak_after_pull_c": None if peak_c is None else round(peak_c, 1),
        }
