"""The sear: groups of pieces one after another, a timer for each side, the stone's recovery between groups."""

from __future__ import annotations

from typing import TYPE_CHECKING

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import View
from emberdraft.daemon.wanted import target_of

if TYPE_CHECKING:
    from emberdraft.daemon.stage import Stage

RECOVER_BELOW_C = 10.0


def groups(plan: Plan) -> list[list[str]]:
    """The letters that go onto the stone together; one group without letters when the plan names no pieces."""
    letters = [piece.letter for piece in plan.pieces]
    if not letters or (plan.sear is not None and plan.sear.together):
        return [letters]
    return [[letter] for letter in letters]


def watch(stage: Stage, view: View) -> None:
    """Ask for the next deed when the stone is ready, or when a side has had its time."""
    plan, run = stage.plan.sear, stage.run.sear
    if plan is None or stage.asked("sear_on"):
        return
    letters = groups(stage.plan)[run.group]
    if run.state == "recover":
        _recover(stage, view, letters)
    elif run.state == "timing" and run.due_s is not None and stage.now_s >= run.due_s:
        run.state = "due"
        stage.ask("flip" if run.side + 1 < plan.sides else "take_off", letters)


def recover_c(stage: Stage) -> float | None:
    """What the stone must be back at before the next pieces, degC."""
    plan, target_c = stage.plan.sear, target_of(stage.plan, stage.run, "sear")
    if plan is None or target_c is None:
        return None
    wanted_c = float(plan.recover_c) if plan.recover_c is not None else target_c - RECOVER_BELOW_C
    return min(wanted_c, target_c)


def _recover(stage: Stage, view: View, letters: list[str]) -> None:
    plan, run, wanted_c = stage.plan.sear, stage.run.sear, recover_c(stage)
    if plan is None or wanted_c is None:
        return
    if run.since_s == 0.0:
        run.since_s = stage.now_s
    hot = view.stone_c is not None and view.stone_c >= wanted_c
    if hot or run.group == 0 or stage.now_s - run.since_s >= plan.recover_longest_s:
        stage.ask("sear_on", letters, view.stone_c)


def begin_side(stage: Stage, side: int) -> None:
    """The timer of a side starts now."""
    run, plan = stage.run.sear, stage.plan.sear
    run.side, run.state = side, "timing"
    run.due_s = stage.now_s + (plan.per_side_s if plan is not None else 0.0)


def end_group(stage: Stage) -> None:
    """The group is off the stone: the next one waits for the stone, or the sear is over."""
    run = stage.run.sear
    if run.group + 1 >= len(groups(stage.plan)):
        stage.go("seared")
        return
    run.group += 1
    run.side, run.state, run.due_s, run.since_s = 0, "recover", None, stage.now_s
