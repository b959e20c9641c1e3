"""What USDA FSIS advises, said where a person decides: in the plan, at a prompt, beside another pull. Never a verdict.

The core that counts is the one on leaving the last heat: the sear where there is one, else the pull. What the rest adds
after it counts for nothing.
"""

from __future__ import annotations

from bisect import bisect_right

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.plan_form import Piece
from emberdraft.food import lethality
from emberdraft.food.advised import Advice, advised, in_the_table, time_counts
from emberdraft.quantities import say_duration
from emberdraft.said import Temperature, Text, joined, said

CODES = "Local food codes come first."
# CDC and foodsafety.gov, "People at Risk of Food Poisoning".
NOT_FOR = "Not for anybody pregnant, under 5, over 65 or of weak immunity."


def below(plan: Plan, piece: Piece) -> bool:
    """Whether the piece is to leave the last heat below what is advised, or has too short a rest after it."""
    advice = advised(piece.animal, piece.kind)
    if plan.sear is not None:
        return not advice.reached(float(piece.final_c))
    return not advice.reached(float(piece.pull_c)) or float(piece.rest_s) < advice.rest_s


def beside(plan: Plan, piece: Piece) -> Text:
    """One line for a prompt: the figure, and that the piece is below it where it is."""
    advice = advised(piece.animal, piece.kind)
    template = "{letter}: USDA advises {figure}. {where}" + (f" {NOT_FOR}" if below(plan, piece) else "")
    return said(template, letter=piece.letter, figure=_figure(advice), where=_where(plan, piece, advice))


def whole(plan: Plan, piece: Piece) -> Text:
    """The same with what the chart's row is for, and what the table of times says: for the plan and the pull."""
    advice = advised(piece.animal, piece.kind)
    of = f"For {advice.of}."
    if not below(plan, piece):
        return joined(" ", (beside(plan, piece), of, CODES))
    return joined(" ", (beside(plan, piece), of, _times(piece, float(piece.final_c))))


def below_lines(plan: Plan) -> list[Text]:
    """A line for each piece of a plan that is below it."""
    return [beside(plan, piece) for piece in plan.pieces if below(plan, piece)]


def short(plan: Plan, piece: Piece) -> Text:
    """A few words after another pull temperature; '' where it is at what is advised."""
    if plan.sear is not None or not below(plan, piece):
        return ""
    return said(": below the {figure} that USDA advises", figure=_figure(advised(piece.animal, piece.kind)))


def least_pull_c(plan: Plan, piece: Piece) -> float | None:
    """Under which a pull is below what is advised, degC; None where a sear comes after it."""
    return advised(piece.animal, piece.kind).core_c if plan.sear is None else None


def _figure(advice: Advice) -> Text:
    rest = f", then {say_duration(advice.rest_s)} of rest" if advice.rest_s else ""
    return said("{core} on leaving the heat{rest}", core=Temperature(advice.core_c, 1), rest=rest)


def _where(plan: Plan, piece: Piece, advice: Advice) -> Text:
    pull, final = Temperature(float(piece.pull_c)), Temperature(float(piece.final_c))
    if plan.sear is not None:
        if below(plan, piece):
            return said("It is to end the sear at {final}, below it.", final=final)
        if not advice.reached(float(piece.pull_c)):
            return said("Pulled at {pull} it is below it until the sear: measure it as it leaves the stone.", pull=pull)
        return said("It is pulled at {pull}.", pull=pull)
    if not advice.reached(float(piece.pull_c)):
        return said("Pulled at {pull} it is below it; what the rest adds does not count.", pull=pull)
    if below(plan, piece):
        return f"A rest of {say_duration(piece.rest_s)} is too short."
    return said("It is pulled at {pull}.", pull=pull)


def _times(piece: Piece, core_c: float) -> Text:
    """The row of the FSIS table at or below a core, with what it counts on; it is for whole cuts of beef alone."""
    if not time_counts(piece.animal, piece.kind):
        return "Only the full temperature counts for it, not time at a lower one."
    if not in_the_table(piece.animal, piece.kind):
        return CODES
    rows_c = [(row[0] - 32.0) / 1.8 for row in lethality.ROWS]
    at = bisect_right(rows_c, core_c + 1e-6) - 1
    if at < 0:
        return said(f"{lethality.TITLE}: no row below {{row}}. {CODES}", row=Temperature(rows_c[0], 1))
    template = (
        f"{lethality.TITLE}: {lethality.ROWS[at][1] / 60:.0f} min held at {{row}}; {lethality.SCOPE}; {{counts_on}}."
    )
    return said(template, row=Temperature(rows_c[at], 1), counts_on=lethality.conditions())
