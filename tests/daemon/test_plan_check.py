"""What is said of a plan before it is begun."""

from __future__ import annotations

from collections.abc import Iterable

from emberdraft.daemon.plan import load_plan, parse_plan
from emberdraft.daemon.plan_check import food_lines, looked_ahead
from emberdraft.said import Text

ROAST = """
version = 1
name = "roast"
[light]
target = "110C"
charcoal = "3 kg"
[slow]
target = "110C"
[[piece]]
name = "roast"
letter = "A"
probe = 0
animal = "beef"
thickness = "80mm"
pull = "54C"
final = "60C"
"""


def plain(lines: Iterable[Text]) -> str:
    return " ".join(map(str, lines)).replace("\u00a0", " ")


def test_a_pull_has_its_peak_the_usda_figure_and_the_pull_that_would_do() -> None:
    said = plain(looked_ahead(parse_plan(ROAST))["foods"])
    assert "pulled at 54 °C: in the rest it rises to about" in said
    assert "probably " in said
    assert "To end at 60 °C, pull it at about" in said
    assert "that is below what USDA advises" in said
    assert "USDA advises 62.8 °C on leaving the heat, then 3 min of rest" in said
    assert "Pulled at 54 °C it is below it" in said
    assert "Appendix A (1999)" in said


def test_the_pull_that_is_proposed_for_poultry_is_called_below_the_advice() -> None:
    bird = ROAST.replace('animal = "beef"', 'animal = "poultry"').replace("54C", "62C").replace("60C", "66C")
    said = plain(looked_ahead(parse_plan(bird))["foods"])
    assert "USDA advises 73.9 °C" in said
    assert "that is below what USDA advises, the rest does not count" in said


def test_more_than_four_hours_on_the_way_to_60_degc_is_said() -> None:
    slow = ROAST.replace("80mm", "200mm").replace("110C", "80C").replace("60C", "64C")
    assert "longer than the 4 h 00 min that are common practice" in plain(looked_ahead(parse_plan(slow))["foods"])
    assert "common practice" not in plain(looked_ahead(parse_plan(ROAST))["foods"])


def test_before_a_sear_no_pull_is_proposed_and_tempering_has_its_hour() -> None:
    said = plain(looked_ahead(load_plan("two_chops"))["foods"])
    assert "The sear comes on top" in said
    assert "pull it at about" not in said
    assert said.count("Out of the cold before it goes on: 1 h 00 min at most.") == 1  # A stood out, B did not


def test_the_charcoal_is_said_and_whether_it_is_enough() -> None:
    assert "3.0 kg is in it: that is enough." in plain(looked_ahead(parse_plan(ROAST))["fuel"])
    assert "Put in" in plain(looked_ahead(load_plan("hold"))["fuel"])


def test_a_forecast_that_knows_better_takes_the_place_of_the_plans() -> None:
    plan = load_plan("two_chops")
    line, usda = map(str, food_lines(plan, plan.pieces[0], (58.0, 60.0, 63.0)))
    assert "about 60\u00a0°C, probably 58\u00a0°C to 63\u00a0°C" in line
    assert "USDA" in usda
