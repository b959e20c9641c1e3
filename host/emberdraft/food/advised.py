"""What USDA FSIS advises for a piece: one function of its animal and its kind. Whoever says a figure asks here.

Source: USDA FSIS, "Safe Minimum Internal Temperature Chart", page last updated 14 April 2025; tenderised meat: FSIS,
"Mechanically Tenderized Beef". The figures are for the core before the piece leaves the heat: what it rises to in the
rest does not count. A pair that the chart does not name gets its strictest row.
"""

from __future__ import annotations

from typing import NamedTuple

SOURCE = "USDA FSIS, safe minimum internal temperatures (2025)"
PRINTED_C = 0.05  # the chart's degC are printed to a tenth: 145 degF is 62.78


class Advice(NamedTuple):
    """A row of the chart: least core before leaving the heat, degC, and least rest after it, s."""

    core_c: float
    rest_s: float
    of: str

    def reached(self, core_c: float) -> bool:
        """Whether a core, degC, is at the figure as it is printed."""
        return core_c > self.core_c - PRINTED_C


CUTS = Advice(62.8, 180.0, "whole cuts of beef, pork, veal and lamb")
GROUND = Advice(71.1, 0.0, "ground meat")
FISH = Advice(62.8, 0.0, "fish")
STRICTEST = Advice(73.9, 0.0, "poultry, stuffed food and whatever the chart does not name")

MEAT = ("beef", "pork", "lamb", "veal")
_ROWS = {
    **{(animal, kind): CUTS for animal in MEAT for kind in ("whole", "tenderised")},
    **{(animal, "ground"): GROUND for animal in MEAT},
    ("fish", "whole"): FISH,
    ("fish", "fish"): FISH,
    ("other", "fish"): FISH,
}


def advised(animal: str, kind: str) -> Advice:
    """The row for a piece; `animal` and `kind` as in a plan."""
    return _ROWS.get((animal, kind), STRICTEST)


def time_counts(animal: str, kind: str) -> bool:
    """Whether time at a lower temperature is told at all: of meat that nothing was pushed into, and of fish."""
    return (kind == "whole" and animal in MEAT) or advised(animal, kind) is FISH


def in_the_table(animal: str, kind: str) -> bool:
    """Whether the FSIS table of times (food/lethality.py) is for such food."""
    return animal == "beef" and kind == "whole"
