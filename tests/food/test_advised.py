"""Every animal and kind of a plan against the printed rows of the FSIS chart (2025), kept in tests/published."""

from __future__ import annotations

import csv
from itertools import product
from pathlib import Path
from typing import get_args

import pytest

from emberdraft.daemon.plan_form import Animal, FoodKind
from emberdraft.food.advised import STRICTEST, advised

CHART = Path(__file__).parents[1] / "published" / "fsis_safe_minimum_chart.csv"
CUTS, GROUND, GROUND_POULTRY, POULTRY, FISH, TENDERISED = (
    "Beef, Pork, Veal and Lamb Steaks, Chops and Roasts",
    "Ground Meats",
    "Ground Poultry",
    "All Poultry (Breasts, Whole Bird, Legs, Thighs, Wings, Ground Poultry, Giblets and Stuffing)",
    "Fish & Shellfish",
    "Mechanically Tenderized Beef: all mechanically tenderized meat",
)
MEAT = ("beef", "pork", "lamb", "veal")

# The chart's own words for each pair, read by hand; whatever it has no words for is not named here. "Stuffing" stands
# in its poultry row, so all that is stuffed does. A plan that names a fish by its kind alone means a fish.
NAMED = {
    **{(animal, "whole"): CUTS for animal in MEAT},
    **{(animal, "ground"): GROUND for animal in MEAT},
    **{(animal, "tenderised"): TENDERISED for animal in MEAT},
    **{(animal, "stuffed"): POULTRY for animal in get_args(Animal)},
    **{("poultry", kind): POULTRY for kind in ("whole", "poultry", "tenderised")},
    ("poultry", "ground"): GROUND_POULTRY,
    ("other", "poultry"): POULTRY,
    **{pair: FISH for pair in (("fish", "whole"), ("fish", "fish"), ("other", "fish"))},
}
PAIRS = list(product(get_args(Animal), get_args(FoodKind)))


def chart() -> dict[str, tuple[float, float]]:
    """degF and rest in min of each printed row."""
    lines = [line for line in CHART.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {row["product"]: (float(row["degF"]), float(row["rest_min"])) for row in csv.DictReader(lines)}


@pytest.mark.parametrize(("animal", "kind"), PAIRS)
def test_each_animal_and_kind_has_its_row_and_what_is_not_known_the_strictest(animal: str, kind: str) -> None:
    rows = chart()
    strictest_f = max(degf for degf, _ in rows.values())
    degf, rest_min = rows.get(NAMED.get((animal, kind), ""), (strictest_f, 0.0))
    advice = advised(animal, kind)
    assert advice.core_c == pytest.approx((degf - 32.0) / 1.8, abs=0.05)
    assert advice.rest_s == 60.0 * rest_min


def test_the_printed_figure_in_either_unit_is_at_it_and_a_tenth_less_is_not() -> None:
    for animal, kind in PAIRS:
        advice = advised(animal, kind)
        degf = round(advice.core_c * 1.8 + 32.0)
        assert advice.reached((degf - 32.0) / 1.8) and advice.reached(advice.core_c)
        assert not advice.reached(advice.core_c - 0.1)


def test_an_animal_or_a_kind_nobody_has_heard_of_gets_the_strictest() -> None:
    assert advised("beaver", "whole") is STRICTEST
    assert advised("beef", "jellied") is STRICTEST


def test_the_chart_has_no_figure_above_the_strictest() -> None:
    assert max(degf for degf, _ in chart().values()) == pytest.approx(STRICTEST.core_c * 1.8 + 32.0, abs=0.1)
