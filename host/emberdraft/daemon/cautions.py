"""Cautions, at most three lines, shown where the danger begins: beside a deed or at the head of a phase.

The safety case (docs/explain/safety.md) has a row for each. Meat: figures of USDA FSIS, held in `emberdraft.food`.
"""

from __future__ import annotations

from bisect import bisect_right

from emberdraft.daemon.plan_form import Piece
from emberdraft.food import lethality
from emberdraft.quantities import say_temperature

CARBON_MONOXIDE = "Charcoal makes carbon monoxide: outdoors only, never in a garage or tent. A CO alarm near people."
FLARE = "Crack the lid 3 cm, wait 10 s, stand aside: a starved hot fire flares when air reaches it."
LID_FIRST = "Press Opening the lid first: the blower stops. Gloves."
EMBERS = "3 m from anything that burns, spark guard on, not in high wind or dry grass. Never liquid fuel on lit coals."
CIRCLE = "Children and pets outside the circle; extinguisher within reach; a person stays near."
STONE = "The stone goes in dry, early and cool with the cooker; never wet, never chilled when hot: it may burst."
STARVED = "Do not open the cooker: a starved hot fire flares. Gas from a banked fire: never bring it indoors."
ASH = "Ash keeps its heat: closed metal bin, 48 h."
GREASE = "Grease fire: vents and lid shut, blower off, no water."
PLATES = "A clean plate for cooked food, not the one that held it raw; clean the probe."
VENT_HOT = "Vents and lid are hot: gloves. The lid stays shut."
NOBODY_OVER = "Lid shut, nobody over it, cables clear of the lid."

PHASE_CAUTIONS = {
    "light": (CARBON_MONOXIDE, EMBERS, CIRCLE),
    "soak": (CIRCLE,),
    "slow": (FLARE,),
    "climb": (NOBODY_OVER, GREASE, CIRCLE),
    "sear": (GREASE, FLARE),
    "bank": (STARVED, CARBON_MONOXIDE, ASH),
}

PROMPT_CAUTIONS = {
    "light": (CARBON_MONOXIDE, EMBERS, CIRCLE),
    "look_at_fire": (FLARE,),
    "set_vents": (),
    "move_vent": (VENT_HOT,),
    "set_up": (LID_FIRST, FLARE, STONE),
    "put_on": (LID_FIRST, FLARE),
    "check": (LID_FIRST, FLARE),
    "pull": (LID_FIRST, FLARE),
    "open_vent": (),
    "start_climb": (NOBODY_OVER, GREASE),
    "climb_over": (GREASE,),
    "come_to_sear": (GREASE, CIRCLE),
    "sear_on": (LID_FIRST, FLARE, GREASE),
    "flip": (LID_FIRST, FLARE),
    "take_off": (PLATES, FLARE),
    "shut_vents": (STARVED, CARBON_MONOXIDE, ASH),
    "go_on": (NOBODY_OVER,),
}

# Which row of the USDA table a kind of food is held against. Stuffed food is held against the highest row.
_ROW_OF = {"stuffed": "poultry", "tenderised": "whole"}


def of_phase(phase: str) -> list[str]:
    """The cautions of a phase; none before the first."""
    return list(PHASE_CAUTIONS.get(phase, ()))


def of_prompt(kind: str, pieces: list[Piece]) -> list[str]:
    """The cautions beside a deed, with the food's figure first where a pull or a last temperature is at stake."""
    lines = [line for piece in pieces if (line := of_food(piece))] if kind in ("put_on", "pull", "check") else []
    return [*dict.fromkeys(lines), *PROMPT_CAUTIONS[kind]][:3]


def of_food(piece: Piece) -> str:
    """What USDA advises for this piece, beside its last temperature. Never a verdict, never 'safe'."""
    advised_c, rest_s = lethality.SAFE_MINIMUM_C[_ROW_OF.get(piece.kind, piece.kind)]
    rest = f" and {rest_s / 60:.0f} min of rest" if rest_s else ""
    advice = f"USDA advises {say_temperature(advised_c, digits=1)}{rest}"
    plan = f"{piece.letter} is to end at {say_temperature(piece.final_c)}"
    if piece.final_c >= advised_c and piece.rest_s >= rest_s:
        return f"{advice}; {plan}. Local food codes come first."
    if piece.kind != "whole":
        return f"{advice}; {plan}, below it. For {piece.kind} food only the full temperature counts."
    return f"{advice}; {plan}, below it. {_table_line(piece)}"


def _table_line(piece: Piece) -> str:
    """The row of the FSIS table at or below the last temperature; the table is for cooked beef alone."""
    if piece.animal != "beef":
        return "Local food codes come first."
    rows_c = [(row[0] - 32.0) / 1.8 for row in lethality.ROWS]
    at = bisect_right(rows_c, float(piece.final_c) + 1e-6) - 1
    if at < 0:
        return f"{lethality.TITLE}: no row below {say_temperature(rows_c[0], digits=1)}. Local food codes come first."
    seconds = lethality.ROWS[at][1]
    return (
        f"{lethality.TITLE}: {seconds / 60:.0f} min held at {say_temperature(rows_c[at], digits=1)}; {lethality.SCOPE}."
    )
