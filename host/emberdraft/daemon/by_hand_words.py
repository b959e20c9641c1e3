"""The words of prompts where no blower is fitted: the person's hand on the vents is what holds the heat."""

from __future__ import annotations

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.vent_words import set_words
from emberdraft.said import Temperature, Text, first_upper, said

Words = tuple[str, Text, str]

# The text of a prompt, by its kind, where its usual one speaks of a blower.
TEXT = {
    "set_up": "The walls are warm. The cold parts pull the pit down; most of it comes back by itself.",
    "shut_vents": "Without air the fire starves.",
}


def words(plan: Plan, kind: str, vents: dict[str, float], why: Text) -> Words | None:
    """Title, text and deed; None where the usual words do."""
    if not vents:
        return None
    if kind == "move_vent":
        ((which, opening),) = vents.items()
        return set_words(which, opening), said("{why}.", why=first_upper(why)), "It is set"
    if kind == "light":
        text = said(
            "Both vents open. A firelighter, lid open, until a patch as wide as a hand glows; then lid shut. On the "
            "way to {target} you are asked to pinch them, well before it is there: the fire goes on growing.",
            target=Temperature(float(plan.light.target_c)),
        )
        return "Light one side of the bed", text, "It is lit and the lid is shut"
    if kind == "open_vent":
        return "Open both vents fully", "All pieces are out. The stone needs all the draft there is.", "Both are open"
    if kind == "start_climb" and plan.climb is not None:
        text = said(
            "Pieces out, both vents open, lid shut, nobody over it? By draft alone the stone goes to {stone}; "
            "keep the pit below {limit}.",
            stone=Temperature(float(plan.climb.stone_c)),
            limit=Temperature(float(plan.climb.pit_limit_c)),
        )
        return "Start the climb", text, "Yes: lid shut, nobody over it"
    return None
