"""Cautions, at most three lines, shown where the danger begins: beside a deed or at the head of a phase (steps.py).

The safety case (docs/explain/safety.md) has a row for each, with its source. What is said of food is food_words.py's.
"""

from __future__ import annotations

from emberdraft.daemon import food_words
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Piece
from emberdraft.said import Temperature, Text, joined, said

CARBON_MONOXIDE = (
    "Charcoal makes carbon monoxide: outdoors only, never in a garage or tent; a CO alarm near people. Headache, "
    "dizzy, weak, sick or confused: everybody into fresh air, call the emergency number."
)
FLARE = "Crack the lid 3 cm, wait 10 s, stand aside: a starved hot fire flares when air reaches it."
# What has to do with the blower, and the same where none is fitted.
LID_FIRST = "Press Opening the lid first: the blower stops. Gloves."
LID_BY_HAND = "Press Opening the lid first: the vent coach waits. Gloves."
EMBERS = "3 m from anything that burns, spark guard on, not in high wind or dry grass. Never liquid fuel on lit coals."
CIRCLE = "Children and pets outside the circle; extinguisher (powder, ABC) within reach; a person stays near."
STONE = "The stone goes in dry, early and cool with the cooker; never wet, never chilled when hot: it may burst."
STARVED = "Do not open the cooker: a starved hot fire flares. Gas from a banked fire: never bring it indoors."
ASH = "Ash keeps its heat: metal bin, tight lid, two days, 3 m from any building, never on a deck."
GREASE = "Grease fire: vents and lid shut, blower off, no water."
GREASE_BY_HAND = "Grease fire: vents and lid shut, no water."
PLATES = said(
    "A clean plate for cooked food, not the one that held it raw; clean the probe. "
    "Eaten or chilled within 2 h, 1 h in air above {hot}.",
    hot=Temperature(32.2),  # 90 degF (USDA)
)
VENT_HOT = "Vents and lid are hot: gloves. The lid stays shut."
NOBODY_OVER = "Lid shut, nobody over it, cables clear of the lid."


def _of_prompts(lid_first: str, grease: str) -> dict[str, tuple[Text, ...]]:
    return {
        "light": (CARBON_MONOXIDE, EMBERS, CIRCLE),
        "look_at_fire": (FLARE,),
        "set_vents": (),
        "move_vent": (VENT_HOT,),
        "set_up": (lid_first, FLARE, STONE),
        "put_on": (lid_first, FLARE),
        "check": (lid_first, FLARE),
        "pull": (lid_first, FLARE),
        "open_vent": (),
        "start_climb": (NOBODY_OVER, grease),
        "climb_over": (grease,),
        "come_to_sear": (grease, CIRCLE),
        "sear_on": (lid_first, FLARE, grease),
        "flip": (lid_first, FLARE),
        "take_off": (PLATES, FLARE),
        "end": (CARBON_MONOXIDE,),
        "shut_vents": (STARVED, CARBON_MONOXIDE, ASH),
        "go_on": (NOBODY_OVER,),
    }


PROMPT_CAUTIONS = _of_prompts(LID_FIRST, GREASE)
BY_HAND = _of_prompts(LID_BY_HAND, GREASE_BY_HAND)

# Where a person decides what the food will be: it goes on, it is measured, it leaves the heat.
FOOD_DECIDED = ("put_on", "check", "pull", "take_off")


def of_prompt(plan: Plan, kind: str, pieces: list[Piece], by_hand: bool = False) -> list[Text]:
    """The cautions beside a deed; where what the food will be is decided, the USDA's figure first, in one line."""
    lines = [food_words.beside(plan, piece) for piece in pieces] if kind in FOOD_DECIDED else []
    return [line for line in (joined(" ", lines), *(BY_HAND if by_hand else PROMPT_CAUTIONS)[kind]) if line]
