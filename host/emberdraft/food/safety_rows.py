"""What stands beside a piece's core curve after the cook: figures with their sources, never a verdict on food.

The whole curve counts, from going on to the end of the rest, as the probe read it where it was. A gap earns nothing on
the table's side and counts in full on the danger zone's side: what is not known is never in the food's favour.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from emberdraft.food.advised import advised, in_the_table, time_counts
from emberdraft.food.lethality import SCOPE, TITLE, Lethality, danger_zone_s

# USDA and FDA: not over 2 h where it is not being cooked or kept hot or cold, 1 h in air above 32 degC (90 degF).
ZONE_LONGEST_S, ZONE_HOT_LONGEST_S, HOT_AIR_C = 7200.0, 3600.0, 32.0
# Of food that cooks slowly: common practice, after the 4 h of food without control (FDA Food Code 2017, 3-501.19).
RISE_LONGEST_S = 14400.0
TEMPER_LONGEST_S = 3600.0
GAP_S = 60.0

Curve = Iterable[tuple[float, float | None]]


@dataclass(frozen=True)
class SafetyRows:
    """`share_6p5` and `share_7`: of the table's time, None where the table is not for such food. Times in s, degC."""

    usda_c: float
    usda_rest_s: float
    highest_c: float | None
    at_or_over_usda_s: float
    title: str
    scope: str
    share_6p5: float | None
    share_7: float | None
    danger_zone_s: float
    danger_zone_longest_s: float
    note: str
    below: bool | None  # whether the core was below the figure when it left the last heat; None: not known


def safety_rows(
    curve: Curve, kind: str = "whole", animal: str = "other", left_heat_c: float | None = None
) -> SafetyRows:
    """The rows of one piece; `curve` is (t_s, core_c or None) in order of time, `kind` and `animal` as in a plan.

    `left_heat_c`: the core on leaving the last heat, None where nobody measured it (after a sear).
    """
    points = list(curve)
    known = [(t_s, core_c) for t_s, core_c in points if core_c is not None]
    advice = advised(animal, kind)
    for_table = in_the_table(animal, kind)
    over_s = sum(b[0] - a[0] for a, b in pairwise(known) if advice.reached(min(a[1], b[1])) and b[0] - a[0] <= GAP_S)
    return SafetyRows(
        usda_c=advice.core_c,
        usda_rest_s=advice.rest_s,
        highest_c=max((core_c for _, core_c in known), default=None),
        at_or_over_usda_s=over_s,
        title=TITLE,
        scope=SCOPE,
        share_6p5=_share(points, 1) if for_table else None,
        share_7=_share(points, 2) if for_table else None,
        danger_zone_s=danger_zone_s(known),
        danger_zone_longest_s=ZONE_LONGEST_S,
        note=_note(animal, kind),
        below=None if left_heat_c is None else not advice.reached(left_heat_c),
    )


def may_temper(seconds: float) -> bool:
    """Whether a piece may stand out of the cold for so long before it is cooked: never over an hour."""
    return 0.0 <= seconds <= TEMPER_LONGEST_S


def _share(points: list[tuple[float, float | None]], column: int) -> float:
    """Share of the table's time; readings more than GAP_S apart are a gap."""
    lethality = Lethality(column)
    before_s: float | None = None
    for t_s, core_c in points:
        if before_s is not None and t_s - before_s > GAP_S:
            lethality.update(before_s, None)
        lethality.update(t_s, core_c)
        before_s = t_s
    return lethality.share


def _note(animal: str, kind: str) -> str:
    if not time_counts(animal, kind):
        of = f"{kind} food" if kind != "whole" else "poultry" if animal == "poultry" else "food the chart does not name"
        return f"{of}: only the full temperature counts, not time at a lower one"
    if not in_the_table(animal, kind):
        return "the table is for whole cuts of beef; for this piece the USDA figure alone is shown"
    return "as the probe read it where it was; no credit below 54.4 degC; local food codes come first"
