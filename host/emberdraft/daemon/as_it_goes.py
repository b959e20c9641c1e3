"""The evening changed as it goes: a piece more or less, longer, shorter, no sear, dinner at another hour, and back.

Each is a new plan that takes the place of the old one (replan.py). What raises heat needs somebody at the cooker.
"""

from __future__ import annotations

from collections.abc import Mapping
from string import ascii_uppercase
from typing import Any

import msgspec

from emberdraft.daemon import plan_change
from emberdraft.daemon.commands import Handler, note_presence, number
from emberdraft.daemon.cook_form import PieceForm
from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.prompts import names
from emberdraft.daemon.replan import replan, take_back
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.steps import STEPS, RefusedError
from emberdraft.phases import held_in
from emberdraft.quantities import say_duration

MOST_S = 24.0 * 3600.0
LEAST_S = 60.0


def food_goes_on(phase: str) -> bool:
    """Whether food may still go on: nothing is lit yet, or the pit is held."""
    return not phase or held_in(phase) == "pit"


def add_piece(stage: Stage, piece: Mapping[str, Any], probe: int | None = None) -> None:
    """One more piece, as the form asks for it; `probe` from 0, None: measured by hand."""
    if not food_goes_on(stage.phase):
        raise RefusedError("add a piece: nothing goes on any more in this cook; begin another")
    try:
        form = msgspec.convert(piece, PieceForm)
    except msgspec.ValidationError as error:
        raise RefusedError(f"add a piece: {error}") from None
    _free(stage, probe)
    plan = plan_change.added(stage.as_written, form, _letter(stage), probe)
    said = f"Added {names([plan.pieces[-1]])}"
    replan(stage, plan, ("plan", None, said))
    if STEPS[stage.run.step].meat_out:
        stage.turn_to("slow")
    stage.say(said)


def _free(stage: Stage, probe: int | None) -> None:
    free = free_probes(stage)
    if probe is not None and probe not in free:
        right = ", ".join(str(k) for k in free) or "none, so without a probe"
        raise RefusedError(f"add a piece: probe {str(probe)[:8]}; free: {right}")


def free_probes(stage: Stage) -> list[int]:
    """The board's food probes, from 0, that no piece of the plan has: the record tells pieces by their probe."""
    taken = {piece.probe for piece in stage.plan_pieces.values()}
    return [k for k in range(len(stage.view.core_c)) if k not in taken]


def _letter(stage: Stage) -> str:
    """One that no piece of this cook has ever had."""
    texts = [stage.as_written.text, *(change.text for change in stage.run.changed)]
    had = {piece.letter for text in texts for piece in parse_plan(text).pieces}
    return next(letter for letter in ascii_uppercase if letter not in had)


def drop_piece(stage: Stage, letter: str) -> None:
    """One piece less, in or not: it is no longer followed."""
    _one_of(stage, "drop", letter)
    said = f"Dropped {names([stage.plan_pieces[letter]])}"
    replan(stage, plan_change.dropped(stage.as_written, letter), ("plan", None, said))
    stage.say(said)


def put_on_at(stage: Stage, letter: str, at_s: float) -> None:
    """When a piece that waits goes on, unix s."""
    if letter not in stage.letters("waiting"):
        raise RefusedError(f"put on at: piece {str(letter)[:8]!r} does not wait to go on")
    if stage.run.step != "slow":
        raise RefusedError("put on at: only once the pit has settled; until then its hour is not known")
    after_s = number("at_s", at_s, stage.now_s - MOST_S, stage.now_s + MOST_S) - stage.slow_start_s()
    said = f"{names([stage.plan_pieces[letter]])} on at {clock(at_s)}"
    said = said[:1].upper() + said[1:]
    stage.drop("put_on")
    replan(stage, plan_change.put_on_at(stage.as_written, letter, after_s), ("plan", None, said))
    stage.say(said)


def longer(stage: Stage, by_s: float, letter: str = "") -> None:
    """The hold, or what is measured by hand, longer by so much; below 0 shorter."""
    number("by_s", by_s, -MOST_S, MOST_S)
    word = f"{say_duration(abs(by_s))} {'longer' if by_s >= 0.0 else 'shorter'}"
    if letter:
        plan, said = _measured(stage, letter, by_s), f"{letter} {word}"
    else:
        plan, said = _held(stage, by_s), f"The hold {word}"
    replan(stage, plan, ("plan", None, said))
    stage.say(said)


def _measured(stage: Stage, letter: str, by_s: float) -> Any:
    _one_of(stage, "longer", letter)
    piece = stage.plan_pieces[letter]
    if piece.check_after_s is None:
        raise RefusedError(f"longer: {letter} has a probe, and its pull temperature says when; change that")
    stage.run.prompts = [p for p in stage.run.prompts if p.kind != "check" or letter not in p.letters]
    return plan_change.check_after(stage.as_written, letter, max(LEAST_S, piece.check_after_s + by_s))


def _held(stage: Stage, by_s: float) -> Any:
    slow = stage.plan.slow
    if not food_goes_on(stage.phase) or stage.run.step == "ask_end":
        raise RefusedError("longer: the hold is over; with a prompt that asks, hold on")
    if slow is None or slow.for_s is None:
        ends = "it holds until you say" if stage.plan.until_said else "the pieces end it; change a pull temperature"
        raise RefusedError(f"longer: the hold has no time of its own: {ends}")
    passed_s = stage.now_s - stage.slow_start_s()
    if slow.for_s + by_s < max(passed_s, LEAST_S):
        raise RefusedError(f"shorter by {say_duration(-by_s)}: it has held for {say_duration(passed_s)} already")
    return plan_change.held_for(stage.as_written, slow.for_s + by_s)


def no_sear(stage: Stage) -> None:
    """Neither climb nor sear: the pieces rest, and then the plan is at its end."""
    if stage.plan.climb is None:
        raise RefusedError("no sear: the plan has none")
    if not food_goes_on(stage.phase):
        raise RefusedError("no sear: the climb has begun; put the fire out, or sear on it as it is")
    replan(stage, plan_change.without_sear(stage.as_written), ("plan", None, "No sear"))
    stage.say("No sear. The pull temperatures stay as they were, for a sear: look at them")


def dinner(stage: Stage, serve: str, on_at: Mapping[str, float] | None = None) -> None:
    """Dinner at another hour; `on_at`: when the pieces that wait go on for it, unix s by letter."""
    if not isinstance(serve, str) or not serve:
        raise RefusedError("dinner: an hour such as 19:30 would be right")
    plan = plan_change.dinner(stage.as_written, serve)
    for letter, at_s in (on_at or {}).items():
        if letter in stage.letters("waiting") and stage.run.step == "slow":
            after_s = number("on_at", at_s, stage.now_s - MOST_S, stage.now_s + MOST_S) - stage.slow_start_s()
            plan = plan_change.put_on_at(plan, letter, after_s)
    replan(stage, plan, ("plan", None, f"Dinner at {serve}"))
    stage.say(f"Dinner at {serve}")


def back(stage: Stage, at_cooker: bool = False) -> None:
    """The newest change of the plan is taken back."""
    note_presence(stage, at_cooker)
    take_back(stage)
    stage.say("Taken back")


def _one_of(stage: Stage, what: str, letter: str) -> None:
    there = stage.letters("waiting", "in")
    if letter not in there:
        raise RefusedError(
            f"{what}: piece {str(letter)[:8]!r} is neither to come nor in; {', '.join(there) or 'none'} is"
        )


COMMANDS: dict[str, Handler] = {
    "add_piece": add_piece,
    "drop_piece": drop_piece,
    "put_on_at": put_on_at,
    "longer": longer,
    "no_sear": no_sear,
    "dinner": dinner,
    "take_back": back,
}
