"""A cooker without a blower: the vent coach looks at each reading, and a prompt asks the person for the move.

One move at a time; what nobody did in ten minutes is taken back, because the pit has gone on meanwhile. In a climb the
person is asked to pinch the bottom vent when the pit comes near its limit: nothing else holds it there.
"""

from __future__ import annotations

from emberdraft.daemon.run import View
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.steps import STEPS
from emberdraft.daemon.wanted import target_of
from emberdraft.ready.coach import Move, VentCoach
from emberdraft.said import Temperature, said

EVERY_S = 10.0
STALE_S = 600.0
NEAR_LIMIT_C = 20.0
LEAST_BOTTOM = 0.2


def watch(stage: Stage, view: View) -> None:
    """Once a second: take the reading, and ask for a move when there is one."""
    run = stage.run
    if run.step == "ready":
        _settle_who_holds(stage, not (stage.plan.blower and view.blower))
    if not run.by_hand:
        return
    if STEPS[run.step].coached:
        _hold(stage, view)
    elif STEPS[run.step].holds == "stone":
        _limit(stage, view)


def _settle_who_holds(stage: Stage, by_hand: bool) -> None:
    """Until the fire is lit the board may still say what is fitted; the words of the first prompt follow it."""
    if by_hand != stage.run.by_hand:
        stage.run.by_hand = by_hand
        stage.drop("light")


def _hold(stage: Stage, view: View) -> None:
    target_c = target_of(stage.plan, stage.run, stage.phase)
    if target_c is None:
        return
    coach = stage.coach or _begun(stage, target_c)
    coach.target_c = target_c
    if stage.now_s - stage.looked_s < EVERY_S:
        return
    stage.looked_s = stage.now_s
    _take_back(stage, coach)
    move = coach.update(stage.now_s, view.pit_c, view.lid_open or stage.run.lid_asked_open)
    stage.run.coach = coach.kept()
    if move is not None:
        _ask(stage, move)


def _begun(stage: Stage, target_c: float) -> VentCoach:
    run = stage.run
    coach = VentCoach(target_c, float(stage.plan.ambient_c), stage.holds)
    if run.coach:
        top, bottom = run.vent_top, run.vent_bottom
        coach.take_up(run.coach, 1.0 if top is None else top, 1.0 if bottom is None else bottom)
    stage.coach = coach
    return coach


def _take_back(stage: Stage, coach: VentCoach) -> None:
    """What is not up any more is not waited for, and what nobody did for long is asked anew."""
    asked = [p for p in stage.run.prompts if p.kind == "move_vent"]
    if not asked:
        coach.ask_anew()
    elif stage.now_s - asked[0].since_s >= STALE_S:
        stage.drop("move_vent")
        coach.ask_anew()


def _ask(stage: Stage, move: Move) -> None:
    stage.ask("move_vent", vents={move.vent: move.opening}, why=move.why)


def _limit(stage: Stage, view: View) -> None:
    run, climb = stage.run, stage.plan.climb
    bottom = 1.0 if run.vent_bottom is None else run.vent_bottom
    near = climb is not None and view.pit_c is not None and view.pit_c >= climb.pit_limit_c - NEAR_LIMIT_C
    if climb is None or not near or bottom <= LEAST_BOTTOM or view.lid_open or stage.asked("move_vent"):
        return
    if stage.now_s - stage.looked_s < STALE_S / 2.0:
        return
    stage.looked_s = stage.now_s
    why = said("the pit is close to its limit of {limit}", limit=Temperature(float(climb.pit_limit_c)))
    stage.ask("move_vent", vents={"bottom": max(LEAST_BOTTOM, 0.5 * bottom)}, why=why)
