"""Cautions stand where the danger begins. What is said of food: test_food_words.py."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.daemon import cautions
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.daemon.steps import STEPS
from emberdraft.phases import PHASES

PLAN = load_plan("two_chops")


@pytest.mark.parametrize("kind", PROMPT_KINDS)
def test_every_prompt_has_at_most_three_lines_of_caution(kind):
    assert len(cautions.of_prompt(PLAN, kind, PLAN.pieces)) <= 3


def test_the_figures_of_food_push_no_caution_of_the_fire_away():
    assert cautions.of_prompt(PLAN, "pull", PLAN.pieces)[1:] == list(cautions.PROMPT_CAUTIONS["pull"])


@pytest.mark.parametrize("phase", PHASES)
def test_every_phase_begins_with_its_cautions(phase):
    assert 1 <= len(STEPS[phase].cautions) <= 3


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("light", "carbon monoxide"),
        ("light", "liquid fuel"),
        ("set_up", "blower stops"),
        ("set_up", "wait 10 s"),
        ("set_up", "may burst"),
        ("put_on", "USDA"),
        ("pull", "USDA"),
        ("start_climb", "nobody over it"),
        ("shut_vents", "Do not open"),
        ("take_off", "USDA"),
        ("take_off", "1 h in air above 32"),
        ("light", "Headache"),
        ("light", "fresh air, call the emergency number"),
        ("light", "extinguisher (powder, ABC)"),
        ("shut_vents", "tight lid, two days"),
        ("shut_vents", "3 m from any building, never on a deck"),
    ],
)
def test_the_danger_of_a_deed_stands_beside_it(kind, words):
    assert any(words in str(text) for text in cautions.of_prompt(PLAN, kind, PLAN.pieces[:1]))


ROOT = Path(__file__).parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "hardware").glob("*.md")])


def test_every_page_that_tells_how_to_light_has_the_bottom_vent_open():
    assert PLAN.light.vent_bottom == 1.0
    tutorial = (ROOT / "docs" / "tutorial" / "first_real_cook.md").read_text(encoding="utf-8")
    assert "Bottom vent **open**, and it stays open" in tutorial
    assert [page for page in PAGES if "bottom vent shut" in page.read_text(encoding="utf-8").lower()] == []


def test_no_page_asks_for_water_on_a_hot_stone():
    said = [page.name for page in PAGES if "with a drop of water" in page.read_text(encoding="utf-8")]
    assert said == []
