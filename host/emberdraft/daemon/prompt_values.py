"""What a prompt was asked for, as it reads now: a value of then comes with its time."""

from __future__ import annotations

from emberdraft.daemon.run import Prompt
from emberdraft.daemon.sentence import clock
from emberdraft.daemon.stage import Stage
from emberdraft.quantities import say_temperature

# Kind -> what was read, and with how many digits it is said.
READ = {
    "look_at_fire": ("The pit", 0),
    "pull": ("It", 1),
    "climb_over": ("The stone", 0),
    "come_to_sear": ("The stone", 0),
    "sear_on": ("The stone", 0),
}


def told(prompt: Prompt, stage: Stage) -> str:
    """The prompt's text, with the value of now before it, and the value of then where that was another."""
    if prompt.kind not in READ:
        return prompt.text
    return f"{_value_words(prompt, _now_c(prompt, stage))}{prompt.text}"


def _now_c(prompt: Prompt, stage: Stage) -> float | None:
    if prompt.kind == "pull":
        return stage.core_c(prompt.letters[0])
    return stage.view.pit_c if prompt.kind == "look_at_fire" else stage.view.stone_c


def _value_words(prompt: Prompt, now_c: float | None) -> str:
    what, digits = READ[prompt.kind]
    now, then = _said(now_c, digits), _said(prompt.value_c, digits)
    if not now and not then:
        return f"{what} has no reading. " if what != "It" else ""
    if not now:
        return f"{what} was at {then} at {clock(prompt.since_s)}; no reading now. "
    if not then or then == now:
        return f"{what} is at {now}. "
    return f"{what} is at {now}; it was at {then} at {clock(prompt.since_s)}. "


def _said(value_c: float | None, digits: int) -> str:
    return "" if value_c is None else say_temperature(value_c, digits=digits)
