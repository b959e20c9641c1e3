"""What each step waits for. A watcher looks at the view once a second and moves on, or asks for a deed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from emberdraft.daemon import by_hand
from emberdraft.daemon import soak as soaking
from emberdraft.daemon.run import View
from emberdraft.daemon.wanted import target_of
from emberdraft.ready.stone import NEAR_C as STONE_NEAR_C
from emberdraft.ready.stone import climb_start

if TYPE_CHECKING:
    from emberdraft.daemon.stage import Stage

NEAR_C = 3.0
NEAR_S = 60.0
SETTLE_NEAR_C = 5.0
SETTLE_S = 180.0
PULL_SAMPLES = 3
WORTH_S = 480.0  # of rest left
TWIN_S = 90.0
DEEDS_S = 120.0  # to open the vent and to agree
STONE_S = 10.0


def ready(stage: Stage, view: View) -> None:
    """The fire is to be lit."""
    stage.ask("light", vents=by_hand.OPEN if stage.run.by_hand else None)


def light(stage: Stage, view: View) -> None:
    """The pit comes up to its first target."""
    target_c = target_of(stage.plan, stage.run, "light") or 0.0
    near_c = by_hand.NEAR_C if stage.run.by_hand else NEAR_C
    if _held(stage, view.pit_c is not None and view.pit_c >= target_c - near_c, NEAR_S):
        stage.go("at_heat")
    elif stage.now_s - stage.run.look_s >= stage.plan.light.longest_s:
        stage.ask("look_at_fire", value_c=view.pit_c)


def soak(stage: Stage, view: View) -> None:
    """The walls take up heat, or the longest time is over."""
    plan, run = stage.plan.soak, stage.run
    target_c = target_of(stage.plan, run, "soak")
    if plan is None or target_c is None:
        return
    near_c = by_hand.NEAR_C if run.by_hand else soaking.NEAR_C
    soaking.watch(run.soak, stage.now_s, view.pit_c, target_c, view.duty, view.lid_open, near_c)
    verdict = soaking.verdict(run.soak, plan, stage.now_s - run.since_s)
    if verdict:
        run.soak_cut = verdict == "cut"
        stage.say("Soaked" if verdict == "soaked" else "Soak ended at its longest time; the walls still take heat")
        stage.go("soaked")


def set_up(stage: Stage, view: View) -> None:
    """The cold parts are to be set in."""
    stage.ask("set_up")


def settle(stage: Stage, view: View) -> None:
    """The pit comes back after the set-up."""
    plan = stage.plan.set_up
    target_c = target_of(stage.plan, stage.run, "slow")
    near_c = by_hand.NEAR_C if stage.run.by_hand else SETTLE_NEAR_C
    near = view.pit_c is not None and target_c is not None and abs(view.pit_c - target_c) <= near_c
    longest = plan is not None and stage.now_s - stage.run.since_s >= plan.settle_s
    if _held(stage, near and not view.lid_open, SETTLE_S) or longest:
        stage.go("settled")


def slow(stage: Stage, view: View) -> None:
    """The pieces go on, are due, and are pulled."""
    _slow_vents(stage)
    _put_on(stage)
    _pulls(stage)
    slow = stage.plan.slow
    for_s = slow.for_s if slow is not None and slow.for_s is not None else 0.0
    if stage.plan.until_said:
        return
    if not stage.letters("waiting", "in") and stage.now_s - stage.slow_start_s() >= for_s:
        stage.go("all_out")


def _slow_vents(stage: Stage) -> None:
    slow, run = stage.plan.slow, stage.run
    if slow is None or stage.run.by_hand or stage.asked("set_vents"):
        return
    for want, have in ((slow.vent_top, run.vent_top), (slow.vent_bottom, run.vent_bottom)):
        if want is not None and (have is None or abs(want - have) > 0.01):
            stage.ask("set_vents")
            return


def _put_on(stage: Stage) -> None:
    if stage.asked("put_on"):
        return
    since_s = stage.slow_start_s()
    due = [p for p in stage.letters("waiting") if stage.now_s - since_s >= stage.plan_pieces[p].on_after_s]
    if due:
        stage.ask("put_on", due)


def _pulls(stage: Stage) -> None:
    for piece in stage.run.pieces:
        if piece.state != "in":
            continue
        plan = stage.plan_pieces[piece.letter]
        core_c = stage.core_c(piece.letter)
        if plan.check_after_s is not None and stage.now_s - (piece.on_s or stage.now_s) >= plan.check_after_s:
            stage.ask("check", [piece.letter])
        if core_c is None:
            continue
        piece.due_count = piece.due_count + 1 if core_c >= plan.pull_c else 0
        if piece.due_count and (piece.highest_c is None or core_c > piece.highest_c):
            piece.highest_c = core_c
        if piece.due_count == PULL_SAMPLES:
            stage.ask("pull", [piece.letter], core_c)


def rest(stage: Stage, view: View) -> None:
    """The pieces rest."""
    if _rested(stage):
        stage.say("The rest is over")
        stage.go("rested")


def ask_vent(stage: Stage, view: View) -> None:
    """The top vent is to be opened, in time for the stone to be hot as the rest ends."""
    starts_s = climb_from_s(stage, view)
    if starts_s is not None and stage.now_s < starts_s:
        return
    stage.ask("open_vent", vents=by_hand.OPEN if stage.run.by_hand else None)


def climb_from_s(stage: Stage, view: View) -> float | None:
    """When to offer the climb so that the stone is ready as the rest ends; None: now.

    A rest that is nearly over is not worth putting it off for. While the twin has not said how long the climb takes it
    is given a moment to.
    """
    ends_s = rest_ends_s(stage)
    if ends_s is None or ends_s - stage.now_s < WORTH_S or stage.asked("open_vent"):
        return None
    if view.stone_in_s is None:
        return stage.run.since_s + TWIN_S
    return climb_start(ends_s, stage.now_s, view.stone_in_s + DEEDS_S).start_s


def rest_ends_s(stage: Stage) -> float | None:
    """When the last piece has rested, unix s; None without one."""
    pulled = [(p.pulled_s, stage.plan_pieces[p.letter].rest_s) for p in stage.run.pieces if p.pulled_s is not None]
    return max((pulled_s + rest_s for pulled_s, rest_s in pulled), default=None)


def ask_climb(stage: Stage, view: View) -> None:
    """Nothing is driven without a yes."""
    stage.ask("start_climb", vents=by_hand.OPEN if stage.run.by_hand else None)


def climb(stage: Stage, view: View) -> None:
    """The stone comes up to its target, and the pieces have rested."""
    plan, run = stage.plan.climb, stage.run
    target_c = target_of(stage.plan, run, "climb")
    if plan is None or target_c is None:
        return
    if _held(stage, _hot(stage, view, target_c), STONE_S):
        if _rested(stage):
            stage.go("stone_ready")
    elif stage.now_s - run.since_s >= plan.longest_s:
        stage.ask("climb_over", value_c=view.stone_c)


def _hot(stage: Stage, view: View, target_c: float) -> bool:
    """Whether the stone is at its target: as measured, without a probe as the twin estimates it."""
    if view.stone_c is not None:
        return view.stone_c >= target_c - STONE_NEAR_C
    return view.stone_due_s is not None and stage.now_s >= view.stone_due_s


def ask_sear(stage: Stage, view: View) -> None:
    """Somebody is to come to the stone."""
    stage.ask("come_to_sear", value_c=view.stone_c)


def bank(stage: Stage, view: View) -> None:
    """The fire starves."""
    plan, run = stage.plan.bank, stage.run
    open_vents = (run.vent_top, run.vent_bottom) != (0.0, 0.0)
    if open_vents and not stage.asked("shut_vents"):
        stage.ask("shut_vents")
    _pulls(stage)
    cold = view.pit_c is not None and view.pit_c < plan.until_c
    if stage.now_s - run.since_s >= plan.longest_s or (cold and not open_vents and not stage.letters("in")):
        stage.go("starved")


def done(stage: Stage, view: View) -> None:
    """Nothing is left to wait for."""


def _held(stage: Stage, good: bool, for_s: float) -> bool:
    """Whether a condition has held for `for_s` seconds without a break."""
    if not good:
        stage.run.good_since_s = None
        return False
    if stage.run.good_since_s is None:
        stage.run.good_since_s = stage.now_s
    return stage.now_s - stage.run.good_since_s >= for_s


def _rested(stage: Stage) -> bool:
    pieces = [p for p in stage.run.pieces if p.pulled_s is not None]
    return all(stage.now_s - (p.pulled_s or 0.0) >= stage.plan_pieces[p.letter].rest_s for p in pieces)
