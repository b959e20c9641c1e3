"""The steps of a cook and what may follow what. Everything that affects the order of steps lives in this file.

A step is finer than a phase: asking for the climb is a step of its own inside the phase `slow`, so that nothing starts
without a yes. An event either comes from a person (a deed, a command) or from the readings. A pair of step and event
that is not in the table is refused, and a refusal changes nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from emberdraft.errors import UserError

# Step -> the phase that it belongs to. The order is the order of a cook.
PHASE_OF = {
    "ready": "",
    "light": "light",
    "soak": "soak",
    "set_up": "soak",
    "settle": "slow",
    "slow": "slow",
    "rest": "slow",
    "ask_vent": "slow",
    "ask_climb": "slow",
    "climb": "climb",
    "ask_sear": "climb",
    "sear": "sear",
    "bank": "bank",
    "done": "bank",
}
STEPS = tuple(PHASE_OF)
# Steps in which the board is asked to keep or raise heat: a person may put the fire out from each of them.
HEAT_STEPS = STEPS[1:-2]

EVENTS = (
    "lit",
    "at_heat",
    "soaked",
    "set_in",
    "settled",
    "all_out",
    "rested",
    "vent_open",
    "yes",
    "stone_ready",
    "there",
    "seared",
    "put_out",
    "banked",
    "starved",
    "skip",
    "go_back",
)

BEFORE = "<the step before>"

TRANSITIONS = {
    ("ready", "lit"): "light",
    ("light", "at_heat"): "soak",
    ("soak", "soaked"): "set_up",
    ("set_up", "set_in"): "settle",
    ("settle", "settled"): "slow",
    ("slow", "all_out"): "rest",
    ("rest", "rested"): "ask_vent",
    ("ask_vent", "vent_open"): "ask_climb",
    ("ask_climb", "yes"): "climb",
    ("climb", "stone_ready"): "ask_sear",
    ("ask_sear", "there"): "sear",
    ("sear", "seared"): "bank",
    ("bank", "starved"): "done",
    # A person may hurry what is only waiting; what asks for a yes cannot be skipped.
    ("light", "skip"): "soak",
    ("soak", "skip"): "set_up",
    ("settle", "skip"): "slow",
    ("slow", "skip"): "rest",
    ("rest", "skip"): "ask_vent",
    ("climb", "skip"): "ask_sear",
    ("sear", "skip"): "bank",
    ("bank", "skip"): "done",
    # Putting the fire out is the safe way: it acts at once, from anywhere, and can be taken back at the cooker.
    ("ready", "put_out"): "done",
    **{(step, "put_out"): "bank" for step in HEAT_STEPS},
    **{(step, "banked"): "bank" for step in HEAT_STEPS},
    ("bank", "go_back"): BEFORE,
}

# A step that the plan does not have is passed over to the next.
PASSED_TO = dict(pairwise(STEPS))


class RefusedError(UserError):
    """What a person asked cannot be done now. Nothing has changed."""


def next_step(step: str, event: str, exists: Callable[[str], bool], before: str = "") -> str:
    """The step after `event`; RefusedError if the table has none."""
    target = TRANSITIONS.get((step, event))
    if target is None:
        allowed = ", ".join(e for s, e in TRANSITIONS if s == step) or "nothing more"
        raise RefusedError(f"{event!r}: not possible in {step!r}; possible there: {allowed}")
    if target == BEFORE:
        if not before:
            raise RefusedError("'go_back': there is no step to go back to; start a new cook")
        return before
    while not exists(target):
        target = PASSED_TO[target]
    return target


def diagram() -> str:
    """The table as text, a row for each step, for the docs: they are checked against it."""
    rows = []
    for step in STEPS:
        edges = [f"{event} -> {'back' if to == BEFORE else to}" for (s, event), to in TRANSITIONS.items() if s == step]
        rows.append(f"{step}: {', '.join(edges) or 'the end'}")
    return "\n".join(rows)
