"""What a prompt was asked for, as it reads now: a value of then comes with its time."""

from __future__ import annotations

from emberdraft.daemon.run import Prompt
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.stage import Stage
from emberdraft.said import Temperature, Text, said

# Kind -> what was read, and with how many digits it is said.
READ = {
    "look_at_fire": ("The pit", 0),
    "pull": ("It", 1),
    "climb_over": ("The stone", 0),
    "come_to_sear": ("The stone", 0),
    "sear_on": ("The stone", 0),
}


def told(prompt: Prompt, stage: Stage, heard: bool = True) -> Text:
    """The prompt's text, with the value of now before it, and the value of then where that was another.

    `heard` false: the board is silent, and nothing is known of now.
    """
    if prompt.kind not in READ:
        return prompt.text
    return said("{value}{text}", value=_value_words(prompt, _now_c(prompt, stage) if heard else None), text=prompt.text)


def _now_c(prompt: Prompt, stage: Stage) -> float | None:
    if prompt.kind == "pull":
        return stage.core_c(prompt.letters[0])
    return stage.view.pit_c if prompt.kind == "look_at_fire" else stage.view.stone_c


def _value_words(prompt: Prompt, now_c: float | None) -> Text:
    what, digits = READ[prompt.kind]
    then_c, at = prompt.value_c, clock(prompt.since_s)
    if now_c is None and then_c is None:
        return f"{what} has no reading. " if what != "It" else ""
    if now_c is None or then_c is None:
        only = Temperature((then_c if now_c is None else now_c) or 0.0, digits)
        template = "{what} was at {only} at {at}; no reading now. " if now_c is None else "{what} is at {only}. "
        return said(template, what=what, only=only, at=at)
    now, then = Temperature(now_c, digits), Temperature(then_c, digits)
    if round(now_c, digits) == round(then_c, digits):
        return said("{what} is at {now}. ", what=what, now=now)
    return said("{what} is at {now}; it was at {then} at {at}. ", what=what, now=now, then=then, at=at)
