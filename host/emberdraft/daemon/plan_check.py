"""What is said of a plan before it is begun: what the rest adds to each piece, the USDA's figure, the charcoal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from emberdraft.daemon import food_words
from emberdraft.daemon.fuel_words import fuel_lines
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Piece
from emberdraft.daemon.prompts import names
from emberdraft.daemon.steps import stretches_of
from emberdraft.food.advised import advised
from emberdraft.food.planned import planned, pull_for
from emberdraft.food.safety_rows import RISE_LONGEST_S, TEMPER_LONGEST_S
from emberdraft.quantities import say_duration
from emberdraft.ready.fuel import fuel_for
from emberdraft.said import Temperature, Text, first_upper, said

COLD_C = 5.0  # a fridge; warmer food has stood out
NEAR_C = 0.5
ZONE_TOP_C = 60.0  # 140 degF: above it nothing grows (USDA)


def looked_ahead(plan: Plan) -> dict[str, Sequence[Text]]:
    """`foods`: the lines of each piece; `fuel`: those of the charcoal. Some tenths of a second."""
    said = fuel_for(stretches_of(plan), ambient_c=float(plan.ambient_c), wind_mps=float(plan.wind_mps))
    have_kg = None if plan.light.charcoal_kg is None else float(plan.light.charcoal_kg)
    return {
        "foods": [line for piece in plan.pieces for line in food_lines(plan, piece)],
        "fuel": fuel_lines(said, have_kg),
    }


def food_lines(plan: Plan, piece: Piece, peak_c: tuple[float, float, float] | None = None) -> list[Text]:
    """Carry-over, the pull that would do by the rest alone, the USDA's figure, and how long out of the cold.

    `peak_c`: low, middle, high where the forecast knows better than the plan alone.
    """
    assert plan.slow is not None, "a plan with pieces has a slow phase"
    size = (_number(piece.thickness_m), _number(piece.mass_kg))
    start_c, pit_c, pull_c = float(piece.start_c), float(plan.slow.target_c), float(piece.pull_c)
    low_c, mid_c, high_c = peak_c or planned(pull_c, start_c, pit_c, *size).peak_c
    sear = " The sear comes on top." if plan.sear is not None else ""
    lines = [
        said(
            "{piece}, pulled at {pull}: in the rest it rises to about {mid}, probably {low} to {high}.{sear}",
            piece=first_upper(names([piece])),
            pull=Temperature(pull_c),
            mid=Temperature(mid_c),
            low=Temperature(low_c),
            high=Temperature(high_c),
            sear=sear,
        )
    ]
    if plan.sear is None and abs(mid_c - piece.final_c) > NEAR_C and peak_c is None:
        lines.append(_pull_line(piece, pull_for(float(piece.final_c), start_c, pit_c, *size)))
    lines.append(food_words.whole(plan, piece))
    if start_c > COLD_C and peak_c is None:
        lines.append(f"Out of the cold before it goes on: {say_duration(TEMPER_LONGEST_S)} at most.")
    if peak_c is None:
        lines += _slow_line(pull_c, start_c, pit_c, size)
    return lines


def _pull_line(piece: Piece, by_rest_c: float) -> Text:
    """The pull that would do by the rest alone, called below the advice where it is."""
    reached = advised(piece.animal, piece.kind).reached(by_rest_c)
    below = "" if reached else "; that is below what USDA advises, the rest does not count"
    final, pull = Temperature(float(piece.final_c)), Temperature(by_rest_c)
    return said("To end at {final}, pull it at about {pull}{below}.", final=final, pull=pull, below=below)


def _slow_line(pull_c: float, start_c: float, pit_c: float, size: tuple[float | None, float | None]) -> list[Text]:
    """Whether it is on the way to 60 degC for longer than slow cooking may take, by the middle of the guesses."""
    takes_s = planned(pull_c, start_c, pit_c, *size).takes_s[1]
    if takes_s > RISE_LONGEST_S and pull_c > ZONE_TOP_C:
        takes_s = planned(ZONE_TOP_C, start_c, pit_c, *size).takes_s[1]
    if takes_s <= RISE_LONGEST_S:
        return []
    return [
        said(
            f"About {say_duration(takes_s)} on the way to {{top}}: longer than the {say_duration(RISE_LONGEST_S)} that "
            "are common practice. A hotter pit, or a thinner piece; probe it late.",
            top=Temperature(min(pull_c, ZONE_TOP_C)),
        )
    ]


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
