"""A person changes the plan while it is carried out: the new plan takes the place of the old, and can be taken back.

The plan as it stands now is the run's, so that a restart goes on with it, and the record's (action `plan`). Undo takes
back the newest change; what follows from it in heat needs a person at the cooker, as everywhere.
"""

from __future__ import annotations

import copy

from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.run import Changed, PieceRun
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.steps import STEPS, RefusedError, ThereError
from emberdraft.daemon.wanted import at_cooker, target_of
from emberdraft.phases import held_in
from emberdraft.said import Temperature, said

Mark = tuple[str, float | None, str]


def replan(stage: Stage, plan: Plan, mark: Mark, targets: dict[str, float] | None = None) -> None:
    """Go on with another plan; `mark` (kind, value, text) says in the record what was changed.

    `targets`: what a person has set for single phases, where the change puts that aside.
    """
    run = stage.run
    letters = {piece.letter for piece in plan.pieces}
    gone = [copy.copy(piece) for piece in run.pieces if piece.letter not in letters]
    run.changed.append(Changed(stage.as_written.text, dict(run.targets), gone))
    run.targets = run.targets if targets is None else targets
    stage.mark(*mark)
    _install(stage, plan, gone)


def take_back(stage: Stage) -> None:
    """The newest change; what has been done since with a piece that it added stands against it."""
    if not stage.run.changed:
        raise RefusedError("take back: nothing of the plan has been changed in this cook")
    last = stage.run.changed[-1]
    plan = parse_plan(last.text)
    letters = {piece.letter for piece in plan.pieces}
    added = [piece for piece in stage.run.pieces if piece.letter not in letters]
    if any(piece.state != "waiting" for piece in added):
        raise RefusedError(f"take back: {added[0].letter} has been put on since; drop it instead")
    stage.run.changed.pop()
    stage.run.targets = dict(last.targets)
    _install(stage, plan, added, last.pieces)


def wished_c(stage: Stage, letter: str) -> float | None:
    """Where a piece was to end before its pull was changed in this cook, degC; None for one that was not there."""
    for text in [change.text for change in stage.run.changed] or [stage.as_written.text]:
        for piece in parse_plan(text).pieces:
            if piece.letter == letter:
                return float(piece.final_c)
    return None


def follow_target(stage: Stage) -> None:
    """Order what is to be held now, where that is another: higher only with somebody at the cooker."""
    phase, run = stage.phase, stage.run
    value_c = target_of(stage.plan, run, phase)
    now_c = run.phases[-1].target_c if run.phases else None
    if value_c is None or value_c == now_c:
        return
    there = at_cooker(run, stage.now_s)
    if (now_c is None or value_c > now_c) and not there:
        wanted = Temperature(value_c)
        raise ThereError(said("target {c}: higher than now; raising heat needs you at the cooker", c=wanted))
    run.phases[-1].target_c = value_c
    if run.by_hand:
        return  # the coach follows it; a board without a blower holds nothing
    if held_in(phase) == "stone":
        stage.send()
        return
    run.sent_s, run.agreed = stage.now_s, False
    stage.order("target", target_c=value_c, **({"at_cooker": True} if there else {}))


def _install(stage: Stage, plan: Plan, gone: list[PieceRun], back: list[PieceRun] | None = None) -> None:
    run = stage.run
    for piece in gone:
        _out(stage, piece)
    known = {piece.letter: piece for piece in [*run.pieces, *(back or [])]}
    run.pieces = [known.get(piece.letter) or PieceRun(piece.letter) for piece in plan.pieces]
    before = stage.plan_pieces
    stage.as_written, run.text = plan, plan.text
    stage.follow_person()
    for letter in before.keys() & stage.plan_pieces.keys():
        if before[letter].pull_c != stage.plan_pieces[letter].pull_c:
            _pull_anew(stage, letter)
    letters = set(known) - {piece.letter for piece in gone}
    run.prompts = [prompt for prompt in run.prompts if set(prompt.letters) <= letters]
    stage.do("plan", plan.name, text=plan.text)
    if stage.letters("in"):
        stage.send_pieces()
    if not STEPS[run.step].in_plan(plan):
        stage.turn_to("rest" if plan.climb is None else "ask_vent")
    follow_target(stage)


def _pull_anew(stage: Stage, letter: str) -> None:
    """Another pull temperature: what was due by the old one is not."""
    run, piece = stage.piece(letter), stage.plan_pieces[letter]
    run.due_count, run.highest_c = 0, None
    stage.run.prompts = [p for p in stage.run.prompts if p.kind != "pull" or letter not in p.letters]
    stage.do("piece", letter, pull_c=float(piece.pull_c), rest_c=float(piece.final_c))


def _out(stage: Stage, piece: PieceRun) -> None:
    """The board no longer watches a piece that was in."""
    probe = stage.plan_pieces[piece.letter].probe
    if piece.state == "in" and probe is not None:
        stage.order("pulled", index=probe)
