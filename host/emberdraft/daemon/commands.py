"""Commands: what a person may want at any time, by name. Lowering heat acts at once; raising it needs the cooker."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from emberboard.core import limits
from emberdraft.daemon import deeds, food_words, plan_change, replan
from emberdraft.daemon.prompts import OPENED_THERE
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.steps import STEPS, RefusedError
from emberdraft.daemon.wanted import at_cooker as somebody_there
from emberdraft.daemon.wanted import target_of
from emberdraft.quantities import say_duration
from emberdraft.said import Temperature, said

Handler = Callable[..., None]
PULL_ROOM_C = 1.0
HOLD_ON_MOST_S = 48.0 * 3600.0
GAIN_WORDS = {"kp": "kp", "ti_s": "ti", "td_s": "td", "b": "b"}
GAIN_UNITS = {"kp": " /degC", "ti_s": " s", "td_s": " s", "b": ""}


def call(handler: Handler, name: str, stage: Stage, args: dict[str, Any]) -> None:
    """Run a command; arguments that it does not have are refused in a sentence."""
    code = handler.__code__
    known = code.co_varnames[1 : code.co_argcount]
    needed = known[: len(known) - len(handler.__defaults__ or ())]
    wrong = [key for key in args if key not in known] or [key for key in needed if key not in args]
    if wrong:
        raise RefusedError(f"command {name!r}: argument {wrong[0]!r}; right would be: {', '.join(known) or 'none'}")
    handler(stage, **args)


def present(stage: Stage) -> None:
    """'I am at the cooker': counts for five minutes."""
    stage.present()


def next_phase(stage: Stage, at_cooker: bool = False) -> None:
    """Do not wait any longer for what the step waits for."""
    note_presence(stage, at_cooker)
    if stage.run.step == "slow" and stage.letters("in"):
        inside = ", ".join(stage.letters("in"))
        raise RefusedError(f"next phase: {inside} still in; pull it first, the climb is never begun over food")
    follows = STEPS[stage.run.step].follows()
    if follows and "skip" not in follows:
        raise RefusedError("next phase: it begins with the deed that is shown; press its button")
    stage.go("skip")


def target(stage: Stage, target_c: float, at_cooker: bool = False, from_now_on: bool = False) -> None:
    """Another target: of the pit, in climb and sear of the stone; for the phase in force, or from now on."""
    note_presence(stage, at_cooker)
    phase, holds = stage.phase, STEPS[stage.run.step].holds
    if holds is None:
        raise RefusedError("target: nothing is held now; light the fire first")
    stone = holds == "stone"
    low, high = (limits.STONE_LOW_C, limits.STONE_HIGH_C) if stone else (limits.TARGET_LOW_C, limits.TARGET_HIGH_C)
    value_c = number("target_c", target_c, low, high)
    told = said("Target {value}", value=Temperature(value_c))
    if from_now_on and not stone:
        plan = plan_change.target(stage.as_written, phase, value_c)
        replan.replan(stage, plan, ("plan", value_c, ""), targets={})
        told = said("{told} from now on", told=told)
    else:
        stage.run.targets["stone" if stone else phase] = value_c
        replan.follow_target(stage)
    stage.say(told)


def hold_on(stage: Stage, for_s: float | None = None) -> None:
    """At the end of a plan that asks: hold on for so long, or until a person says."""
    if stage.run.step != "ask_end":
        raise RefusedError("hold on: only at the end of a plan that asks (at_end = 'ask'); it is not there")
    wait_s = None if for_s is None else number("for_s", for_s, 60.0, HOLD_ON_MOST_S)
    stage.run.asks_s = None if wait_s is None else stage.now_s + wait_s
    stage.drop("end")
    stage.say("Holding on until you say" if wait_s is None else f"Holding on: asked again in {say_duration(wait_s)}")


def bank(stage: Stage) -> None:
    """Put the fire out: at once and without a question, it is the safe way."""
    stage.go("put_out")
    stage.say("Putting the fire out")


def go_back(stage: Stage, at_cooker: bool = False) -> None:
    """Take putting the fire out back: raises heat again."""
    note_presence(stage, at_cooker)
    if not somebody_there(stage.run, stage.now_s):
        raise RefusedError("go back: raising heat needs you at the cooker")
    stage.go("go_back")


def renew(stage: Stage, at_cooker: bool = False) -> None:
    """Let the climb run its longest time once more."""
    note_presence(stage, at_cooker)
    if stage.run.step != "climb":
        raise RefusedError(f"renew: only a climb is renewed, and this is {stage.run.step!r}")
    if not somebody_there(stage.run, stage.now_s):
        raise RefusedError("renew: raising heat needs you at the cooker")
    stage.run.since_s = stage.now_s
    stage.drop("climb_over")
    stage.acknowledge("drive_too_long")
    stage.send()


def lid(stage: Stage, open: bool, at_cooker: bool = False) -> None:
    """Opening the lid, or the lid is shut: the blower stops at once while it is open."""
    note_presence(stage, at_cooker)
    if open is not True and open is not False:
        raise RefusedError(f"lid: open {open!r}; true or false would be right")
    if open == stage.run.lid_asked_open and not stage.view.lid_open:
        return
    if not open and stage.view.why == OPENED_THERE and not somebody_there(stage.run, stage.now_s):
        raise RefusedError("lid: opened by its button; hold that for two seconds, or say at the cooker that it is shut")
    stage.lid(open)
    stage.say("Opening the lid: the blower stops" if open else "The lid is shut")


def pulled(stage: Stage, letter: str) -> None:
    """A piece was pulled, whether or not it was due."""
    if letter not in stage.letters("in"):
        inside = ", ".join(stage.letters("in")) or "none"
        raise RefusedError(f"pulled: piece {letter!r} is not in; in now: {inside}")
    prompt = Prompt(id="", kind="pull", title="", text="", deed="", letters=[letter])
    deeds.pull(stage, prompt)


def swap(stage: Stage, first: str, second: str) -> None:
    """The probes of two pieces were taken one for the other: put right from the start, readings untouched."""
    pieces = stage.plan_pieces
    with_probe = sorted(letter for letter, piece in pieces.items() if piece.probe is not None)
    for letter in (first, second):
        if letter not in with_probe or first == second:
            right = ", ".join(with_probe) or "none"
            raise RefusedError(
                f"swap {str(first)[:8]!r} and {str(second)[:8]!r}: two pieces with a probe; they are {right}"
            )
    probes = {first: pieces[second].probe, second: pieces[first].probe}
    stage.run.probes.update(probes)
    stage.follow_person()
    for letter, probe in probes.items():
        piece = stage.piece(letter)
        piece.due_count, piece.highest_c = 0, None
        stage.do("piece", letter, probe=probe)
    stage.run.prompts = [p for p in stage.run.prompts if p.kind != "pull" or not set(p.letters) & set(probes)]
    stage.mark("swap", text=f"{first}{second}")
    if stage.letters("in"):
        stage.send_pieces()
    stage.say(f"Probes of {first} and {second} swapped, from the start")


def pull_at(stage: Stage, letter: str, pull_c: float) -> None:
    """Another pull temperature for a piece that is still to be pulled; board, prompts and forecast follow."""
    cooking = stage.letters("waiting", "in")
    if letter not in cooking:
        raise RefusedError(f"pull_at: piece {str(letter)[:8]!r} is not to be pulled; {', '.join(cooking) or 'none'} is")
    low_c, high_c = pull_bounds(stage, letter)
    value_c = round(number("pull_c", pull_c, low_c, high_c), 2)
    plan = plan_change.pull(stage.as_written, letter, value_c, replan.wished_c(stage, letter))
    replan.replan(stage, plan, ("pull_at", value_c, letter))
    below = food_words.short(stage.plan, stage.plan_pieces[letter])
    stage.say(said("{letter}: pull at {value}{below}", letter=letter, value=Temperature(value_c), below=below))


def pull_bounds(stage: Stage, letter: str) -> tuple[float, float]:
    """Between what a piece may be pulled at, degC: what a plan may say, above its start and below the pit's target."""
    start_c = float(stage.plan_pieces[letter].start_c)
    return max(limits.PULL_LOW_C, start_c + PULL_ROOM_C), min(limits.PULL_HIGH_C, pit_c(stage) - PULL_ROOM_C)


def pit_c(stage: Stage) -> float:
    """What the pit is held at while pieces are in, degC."""
    return float(target_of(stage.plan, stage.run, "slow") or limits.TARGET_HIGH_C)


def vent(stage: Stage, vent: str, opening: float) -> None:
    """A vent was moved by hand: 'top' or 'bottom', 0..1."""
    if vent not in ("top", "bottom"):
        raise RefusedError(f"vent: {vent!r}; top or bottom would be right")
    stage.vent(vent, number("opening", opening, 0.0, 1.0))


def gains(
    stage: Stage, kp: float | None = None, ti_s: float | None = None, td_s: float | None = None, b: float | None = None
) -> None:
    """Other gains for the hold."""
    change_gains(stage, **checked_gains(kp, ti_s, td_s, b))
    stage.say("Gains sent")


def relay(stage: Stage, on: bool = True) -> None:
    """A relay test inside the hold, or its end; the board refuses it where the hold is not calm."""
    if on is not True and on is not False:
        raise RefusedError(f"relay: on {on!r}; true or false would be right")
    if on and stage.phase not in ("soak", "slow"):
        raise RefusedError("relay: nothing is held calmly now; the soak or the slow phase would be right")
    stage.order("relay", on=on)
    stage.say("Relay test asked for: half an hour to three" if on else "Relay test ended")


def checked_gains(
    kp: float | None = None, ti_s: float | None = None, td_s: float | None = None, b: float | None = None
) -> dict[str, float]:
    """Those that are given, inside the board's bounds; refused with what would be right otherwise."""
    bounds = {
        "kp": (kp, limits.KP_LOW, limits.KP_HIGH),
        "ti_s": (ti_s, limits.TI_LOW_S, limits.TI_HIGH_S),
        "td_s": (td_s, limits.TD_LOW_S, limits.TD_HIGH_S),
        "b": (b, limits.B_LOW, limits.B_HIGH),
    }
    given = {key: number(key, value, low, high) for key, (value, low, high) in bounds.items() if value is not None}
    if not given:
        raise RefusedError("gains: none given; at least one of kp, ti_s, td_s, b would be right")
    return given


def change_gains(stage: Stage, **values: float | None) -> None:
    """Order gains, and remember them for a board that starts again."""
    given = {key: float(value) for key, value in values.items() if value is not None}
    stage.run.gains.update(given)
    stage.order("gains", **given)
    stage.mark("gains", text=", ".join(f"{GAIN_WORDS[key]} {value:g}{GAIN_UNITS[key]}" for key, value in given.items()))


def note_presence(stage: Stage, at_cooker: bool) -> None:
    """'I am at the cooker', said with a press."""
    if at_cooker is True:
        stage.present()


def number(name: str, value: object, low: float, high: float) -> float:
    """The number, refused outside its bounds."""
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
        raise RefusedError(f"{name}: {str(value)[:40]!r}; {low:g} to {high:g} would be right")
    return float(value)


COMMANDS: dict[str, Handler] = {
    "at_cooker": present,
    "next_phase": next_phase,
    "target": target,
    "hold_on": hold_on,
    "bank": bank,
    "go_back": go_back,
    "renew": renew,
    "lid": lid,
    "pulled": pulled,
    "vent": vent,
    "swap": swap,
    "pull_at": pull_at,
    "gains": gains,
    "relay": relay,
}
