"""The end of a plan that asks: the pit is held on, a person is called, and what nobody answers goes as the plan said.

at_end = "ask"          # else "bank": put out at the end
hold_until = "23:00"    # nobody has answered for an hour: held until then at most, and no longer than the charcoal
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import View
from emberdraft.errors import UserError
from emberdraft.evening.hour import moment
from emberdraft.phases import held_in

if TYPE_CHECKING:
    from emberdraft.daemon.stage import Stage

ANSWER_S = 3600.0
KIND = "end"


def watch(stage: Stage, view: View) -> None:
    """Ask, unless a person has said to hold on; unanswered for long enough, the fire is put out."""
    asks_s = stage.run.asks_s
    if asks_s is None or stage.now_s < asks_s:
        return
    stage.ask(KIND, value_c=stage.run.phases[-1].target_c)
    if stage.now_s >= ends_s(stage, view):
        stage.say("Nobody has answered at the plan's end: the fire is put out")
        stage.go("unanswered")


def ends_s(stage: Stage, view: View) -> float:
    """When the fire is put out if nobody answers, unix s; while it is not asked, as if it were asked now."""
    asked_s = next((prompt.since_s for prompt in stage.run.prompts if prompt.kind == KIND), stage.now_s)
    held_s = _stated_s(stage.plan, stage.run.started_s or asked_s)
    if held_s is not None and view.fuel_ends_s is not None:
        held_s = min(held_s, view.fuel_ends_s)
    return max(asked_s + ANSWER_S, held_s or 0.0)


def _stated_s(plan: Plan, lit_s: float) -> float | None:
    """The first time after lighting that the clock shows the plan's hour; None where it has none, or that night."""
    try:
        return moment(plan.hold_until, None, lit_s) if plan.hold_until else None
    except UserError:
        return None


def open_ended(stage: Stage) -> bool:
    """Whether the heat that is held now, or is to be held, has no end but a person's word."""
    if stage.run.step == "ask_end":
        return stage.run.asks_s is None
    return stage.plan.until_said and (stage.phase == "" or held_in(stage.phase) == "pit")


def unanswered(plan: Plan) -> str:
    """What happens if nobody answers."""
    if plan.hold_until:
        return f"Unanswered, it is held until {plan.hold_until}, if the charcoal lasts so long, and then put out."
    return f"Unanswered for {ANSWER_S / 60.0:.0f} min, it is put out."
