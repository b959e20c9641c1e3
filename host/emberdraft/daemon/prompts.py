"""The words of each prompt: an imperative with what it is for, and a deed in the past for its button."""

from __future__ import annotations

from collections.abc import Callable

from emberdraft.daemon import at_end, by_hand_words, cautions
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Piece
from emberdraft.daemon.run import Prompt
from emberdraft.quantities import say_duration, say_opening
from emberdraft.said import Temperature, Text, joined, said

Words = tuple[str, Text, str]

THERE = "I am at the cooker"
# Prompts whose deed says so by itself.
SAYS_THERE = frozenset({"come_to_sear", "go_on"})
# Prompts that only a person standing at the cooker may answer: after each of them heat goes up.
AT_COOKER = frozenset({"light", "start_climb", "come_to_sear", "go_on"})
# Prompts whose deed is done under an open lid and ends with it shut.
UNDER_LID = frozenset({"set_up", "put_on", "check", "pull", "sear_on", "flip", "take_off"})
OPENED_THERE = "lid_there"  # why the board gives no air: its own button was pressed
# Seconds matter at the stone; a pull waits less than the rest.
REPEAT_S = {"flip": 20.0, "take_off": 20.0, "sear_on": 60.0, "pull": 60.0}
# What is shown first when two things are due: a deed with a clock running, then food, then the rest.
FIRST = ("flip", "take_off", "pull", "check", "go_on", "sear_on", "put_on")


def make_prompt(
    plan: Plan, kind: str, number: int, letters: list[str], now_s: float, value_c: float | None,
    vents: dict[str, float] | None = None, why: Text = "", by_hand: bool = False,
) -> Prompt:  # fmt: skip
    """A prompt with its words and cautions. `value_c` is the temperature that the words may need, or was read.

    `vents`: what is to be set by hand where no blower is fitted, and `why`.
    """
    pieces = [piece for piece in plan.pieces if piece.letter in letters]
    title, text, deed = by_hand_words.words(plan, kind, vents or {}, why) or _WORDS[kind](plan, pieces, value_c)
    if by_hand:
        text = by_hand_words.TEXT.get(kind, text)
    return Prompt(
        id=f"{kind}-{number}",
        kind=kind,
        title=title,
        text=text,
        deed=deed,
        at_cooker=kind in AT_COOKER,
        letters=letters,
        caution=cautions.of_prompt(plan, kind, pieces, by_hand),
        since_s=now_s,
        said_s=now_s,
        value_c=value_c,
        vents=vents or {},
    )


def at_cooker(prompt: Prompt, why: str) -> bool:
    """Whether its button needs somebody there now: heat goes up after it, or it says shut of a lid opened there."""
    return prompt.at_cooker or (why == OPENED_THERE and prompt.kind in UNDER_LID)


def rank(prompt: Prompt) -> int:
    """The place of a prompt in the line: lower is shown first."""
    return FIRST.index(prompt.kind) if prompt.kind in FIRST else len(FIRST)


def repeat_after_s(plan: Plan, kind: str) -> float:
    """How long a prompt waits before it is said again."""
    return min(REPEAT_S.get(kind, plan.repeat_s), plan.repeat_s)


def names(pieces: list[Piece]) -> str:
    """'the tempered chop (A) and the cold chop (B)'."""
    said = [f"the {piece.name} ({piece.letter})" for piece in pieces]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said) or "the food"


def _it(pieces: list[Piece], one: str, many: str) -> str:
    return many if len(pieces) > 1 else one


def _light(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    vents = f"Bottom vent {say_opening(plan.light.vent_bottom)}, top vent {say_opening(plan.light.vent_top)}"
    text = said(
        "{vents}. A firelighter, lid open, until a patch as wide as a hand glows; then lid shut: the board "
        "brings it to {target}.",
        vents=vents,
        target=Temperature(float(plan.light.target_c)),
    )
    return "Light one side of the bed", text, "It is lit and the lid is shut"


def _look(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    text = f"Not there after {say_duration(plan.light.longest_s)}: too little lit, fuel damp, or a vent shut."
    return "Look at the fire", text, "I have looked"


def _set_vents(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    top = plan.slow.vent_top if plan.slow else None
    bottom = plan.slow.vent_bottom if plan.slow else None
    said = [f"{name} vent {say_opening(x)}" for name, x in (("top", top), ("bottom", bottom)) if x is not None]
    return "Set the vents", f"For the slow phase: {', '.join(said)}.", "They are set"


def _set_up(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    parts = plan.set_up.parts if plan.set_up else ()
    text = "The walls are warm. The cold parts pull the pit down; it comes back by itself."
    return f"Set in the {', the '.join(parts)}", text, "All is in and the lid is shut"


def _put_on(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    probes = ", ".join(f"probe {p.probe + 1} in {p.letter}" for p in pieces if p.probe is not None)
    text = f"{probes[:1].upper()}{probes[1:]}, at the middle of the thickest part." if probes else "No probe."
    return f"Put on {names(pieces)}", text, _it(pieces, "It is on", "They are on") + " and the lid is shut"


def _pull(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    rest = said("Rest it, tented. You want {final} in the end.", final=Temperature(float(pieces[0].final_c)))
    return f"Pull {names(pieces)}", rest, "It is out and the lid is shut"


def _check(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    pull = Temperature(float(pieces[0].pull_c))
    text = said("It has no probe of its own: measure it, and pull it at {pull}.", pull=pull)
    return f"Check {names(pieces)}", text, "It is out and the lid is shut"


def _open_vent(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    text = "All pieces are out. The stone needs the draft; until the vent is open the blower gives little."
    return "Open the top vent fully", text, "It is open"


def _start_climb(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    if plan.climb is None:
        return "Start the climb", "", "Yes"
    text = said(
        "Pieces out, top vent open, lid shut, nobody over it? The stone is driven to {stone}, the pit below {limit}.",
        stone=Temperature(float(plan.climb.stone_c)),
        limit=Temperature(float(plan.climb.pit_limit_c)),
    )
    return "Start the climb", text, "Yes: lid shut, nobody over it"


def _climb_over(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    longest = say_duration(plan.climb.longest_s) if plan.climb else ""
    text = f"{longest} is the longest that the plan allows. Sear on it as it is, renew the climb, or put the fire out."
    return "The climb has run its time", text, "Sear on it as it is"


def _come(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    return "Come to the cooker with the food and the tongs", "Pat the faces dry.", THERE


def _sear_on(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    side = say_duration(plan.sear.per_side_s) if plan.sear else ""
    return (
        f"Put {names(pieces)} on the stone",
        f"{side} a side, lid shut; the timer starts when you say so.",
        _it(pieces, "It is on", "They are on"),
    )


def _flip(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    return f"Flip {names(pieces)}", "This side has had its time.", _it(pieces, "It is", "They are") + " flipped"


def _take_off(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    text = "The last side has had its time. Lid shut after it."
    return f"Take {names(pieces)} off the stone", text, _it(pieces, "It is off", "They are off")


def _end(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    held = "" if value_c is None else said("Meanwhile {value} is held.", value=Temperature(value_c))
    text = joined(" ", (at_end.unanswered(plan), held))
    return "All is done: put the fire out, or hold on?", text, "Put the fire out"


def _shut_vents(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    return "Shut both vents", "The blower is off; without air the fire starves.", "Both are shut"


def _go_on(plan: Plan, pieces: list[Piece], value_c: float | None) -> Words:
    to = said(" to {value}", value=Temperature(value_c)) if value_c is not None else ""
    text = said("The board is not doing what the plan wants, and heat goes up{to} only with you at the cooker.", to=to)
    return "Go to the cooker to go on", text, f"{THERE}: go on"


_WORDS: dict[str, Callable[[Plan, list[Piece], float | None], Words]] = {
    "light": _light,
    "look_at_fire": _look,
    "set_vents": _set_vents,
    "set_up": _set_up,
    "put_on": _put_on,
    "check": _check,
    "pull": _pull,
    "open_vent": _open_vent,
    "start_climb": _start_climb,
    "climb_over": _climb_over,
    "come_to_sear": _come,
    "sear_on": _sear_on,
    "flip": _flip,
    "take_off": _take_off,
    "end": _end,
    "shut_vents": _shut_vents,
    "go_on": _go_on,
}
