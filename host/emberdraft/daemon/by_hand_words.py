"""The words of prompts where no blower is fitted: the person's hand on the vents is what holds the heat."""

from __future__ import annotations

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import Prompt
from emberdraft.daemon.vent_words import set_words
from emberdraft.quantities import say_temperature

Words = tuple[str, str, str]


# What is said where a blower is fitted, and what is true without one.
INSTEAD = {
    "Press Opening the lid first: the blower stops. Gloves.": (
        "Press Opening the lid first: the vent coach waits. Gloves."
    ),
    "Grease fire: vents and lid shut, blower off, no water.": "Grease fire: vents and lid shut, no water.",
    "The blower is off; without air the fire starves.": "Without air the fire starves.",
    "The walls are warm. The cold parts pull the pit down; it comes back by itself.": (
        "The walls are warm. The cold parts pull the pit down; most of it comes back by itself."
    ),
}


def without_blower(prompt: Prompt) -> None:
    """No prompt speaks of a blower that is not there."""
    prompt.text = INSTEAD.get(prompt.text, prompt.text)
    prompt.caution = [INSTEAD.get(line, line) for line in prompt.caution]


def words(plan: Plan, kind: str, vents: dict[str, float], why: str) -> Words | None:
    """Title, text and deed; None where the usual words do."""
    if not vents:
        return None
    if kind == "move_vent":
        ((which, opening),) = vents.items()
        return set_words(which, opening), f"{why[:1].upper()}{why[1:]}.", "It is set"
    if kind == "light":
        text = (
            "Both vents open. A firelighter, lid open, until a patch as wide as a hand glows; then lid shut. On the "
            f"way to {say_temperature(plan.light.target_c)} you are asked to pinch them, well before it is there: "
            "the fire goes on growing."
        )
        return "Light one side of the bed", text, "It is lit and the lid is shut"
    if kind == "open_vent":
        return "Open both vents fully", "All pieces are out. The stone needs all the draft there is.", "Both are open"
    if kind == "start_climb" and plan.climb is not None:
        text = (
            f"Pieces out, both vents open, lid shut, nobody over it? By draft alone the stone goes to "
            f"{say_temperature(plan.climb.stone_c)}; keep the pit below {say_temperature(plan.climb.pit_limit_c)}."
        )
        return "Start the climb", text, "Yes: lid shut, nobody over it"
    return None
