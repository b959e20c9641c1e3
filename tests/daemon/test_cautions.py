"""Cautions stand where the danger begins; figures for food are those of USDA FSIS."""

from __future__ import annotations

import pytest

from emberdraft.daemon import cautions
from emberdraft.daemon.plan_form import Celsius, Piece, Seconds
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.daemon.steps import PHASE_OF


def piece(final_c, kind="whole", animal="pork", rest_s=180.0):
    return Piece(
        name="chop",
        letter="A",
        pull_c=Celsius(final_c - 3.0),
        final_c=Celsius(final_c),
        kind=kind,
        animal=animal,
        rest_s=Seconds(rest_s),
    )


def line(*args, **more):
    return cautions.of_food(piece(*args, **more)).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("kind", "figure"),
    [
        # USDA FSIS safe minimum internal temperatures: 145 F and 3 min rest, 160 F, 165 F, 145 F.
        ("whole", "62.8 °C and 3 min of rest"),
        ("ground", "71.1 °C"),
        ("poultry", "73.9 °C"),
        ("fish", "62.8 °C"),
        ("stuffed", "73.9 °C"),
    ],
)
def test_each_kind_of_food_is_held_against_its_figure(kind, figure):
    assert f"USDA advises {figure}" in line(50.0, kind)


def test_a_piece_below_the_figure_says_so_and_one_at_it_does_not():
    assert "below it" in line(57.0)
    assert "below it" not in line(63.0)
    assert "Local food codes come first" in line(63.0)


def test_beef_below_the_figure_has_the_row_of_the_table_with_title_and_scope():
    # FSIS Appendix A (1999): 135 F (57.2 degC), 36 min; 130 F (54.4 degC), 112 min.
    text = line(57.3, animal="beef")
    assert "36 min held at 57.2 °C" in text
    assert "Appendix A (1999)" in text
    assert "not poultry" in text
    assert "112 min held at 54.4 °C" in line(54.9, animal="beef")


def test_there_is_no_credit_below_the_first_row_nor_for_anything_but_whole_beef():
    assert "no row below 54.4 °C" in line(54.0, animal="beef")
    assert "min held at" not in line(57.3, animal="pork")
    assert "only the full temperature counts" in line(57.3, "tenderised", "beef")


def test_no_food_is_ever_called_safe():
    everything = [
        line(c, k, a) for c in (50.0, 57.3, 63.0, 75.0) for k in ("whole", "ground") for a in ("beef", "pork")
    ]
    for text in everything:
        assert not any(word in text.lower() for word in ("pasteur", "is safe", "safe to"))


@pytest.mark.parametrize("kind", PROMPT_KINDS)
def test_every_prompt_has_at_most_three_lines_of_caution(kind):
    assert len(cautions.of_prompt(kind, [piece(57.0), piece(55.0, animal="beef")])) <= 3


@pytest.mark.parametrize("phase", sorted(set(PHASE_OF.values()) - {""}))
def test_every_phase_begins_with_its_cautions(phase):
    assert 1 <= len(cautions.of_phase(phase)) <= 3


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
        ("shut_vents", "48 h"),
    ],
)
def test_the_danger_of_a_deed_stands_beside_it(kind, words):
    assert any(words in text for text in cautions.of_prompt(kind, [piece(57.0)]))
