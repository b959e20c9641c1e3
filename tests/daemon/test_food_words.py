"""What USDA FSIS advises, said where a person decides: judged by the core on leaving the last heat, not by the rest."""

from __future__ import annotations

from itertools import product
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from emberdraft.cli import main
from emberdraft.daemon import food_words
from emberdraft.daemon.cautions import FOOD_DECIDED
from emberdraft.daemon.plan import Plan, load_plan, parse_plan
from emberdraft.daemon.plan_form import Animal, FoodKind, Piece
from emberdraft.daemon.prompts import make_prompt
from emberdraft.food.advised import advised

ROAST = """
version = 1
name = "roast"
[light]
target = "130C"
[slow]
target = "130C"
[[piece]]
name = "roast"
letter = "A"
probe = 0
pull = "{pull}"
final = "{final}"
rest = "{rest}"
{more}
"""
SEAR = '[climb]\nstone = "280C"\n[sear]\nper_side = "60 s"\n'
PAIRS = list(product(get_args(Animal), get_args(FoodKind)))


def plan(pull: str, final: str, rest: str = "3 min", sear: bool = False, **more: str) -> Plan:
    text = ROAST.format(pull=pull, final=final, rest=rest, more="\n".join(f'{k} = "{v}"' for k, v in more.items()))
    return parse_plan(text.replace("[[piece]]", f"{SEAR}[[piece]]") if sear else text)


def whole(*args: Any, **more: Any) -> str:
    made = plan(*args, **more)
    return str(food_words.whole(made, made.pieces[0])).replace("\u00a0", " ")


def of(made: Plan, pull_c: float, **more: Any) -> tuple[Plan, Piece]:
    piece = replace(made.pieces[0], pull_c=pull_c, final_c=max(pull_c, made.pieces[0].final_c), **more)
    return made, piece


def test_a_pull_of_57_that_the_rest_brings_to_63_is_below_it_for_pork() -> None:
    said = whole("57C", "63C", animal="pork")
    assert "USDA advises 62.8 °C on leaving the heat, then 3 min of rest" in said
    assert "Pulled at 57 °C it is below it; what the rest adds does not count" in said


@pytest.mark.parametrize(("kind", "figure"), [("whole", "73.9"), ("ground", "73.9"), ("poultry", "73.9")])
def test_poultry_is_never_given_the_figure_of_beef(kind: str, figure: str) -> None:
    said = whole("62C", "66C", animal="poultry", kind=kind)
    assert f"USDA advises {figure} °C" in said
    assert "below it" in said and "Only the full temperature counts" in said


def test_a_plan_that_names_no_animal_gets_the_strictest_row_and_is_told_why() -> None:
    said = whole("63C", "66C")
    assert "73.9 °C" in said and "below it" in said
    assert "whatever the chart does not name" in said


def test_145_degf_is_the_figure_whatever_the_unit() -> None:
    for at in ("145F", "62.8C", "63C"):
        assert "below it" not in whole(at, "66C", animal="beef")
    assert "below it" in whole("144F", "66C", animal="beef")


def test_a_rest_too_short_is_said() -> None:
    assert "A rest of 2 min is too short" in whole("63C", "66C", rest="2 min", animal="lamb")
    assert "too short" not in whole("75C", "76C", rest="1 min", animal="poultry")


def test_with_a_sear_the_core_on_leaving_the_stone_counts() -> None:
    assert "It is to end the sear at 54 °C, below it" in whole("48C", "54C", sear=True, animal="beef")
    said = whole("57C", "63C", sear=True, animal="pork")
    assert "Pulled at 57 °C it is below it until the sear: measure it as it leaves the stone" in said
    assert "below it" not in whole("63C", "65C", sear=True, animal="pork")


def test_who_should_not_eat_it_is_said_below_it_and_only_there() -> None:
    assert "pregnant, under 5, over 65 or of weak immunity" in whole("57C", "63C", animal="pork")
    assert "pregnant" not in whole("63C", "66C", animal="pork")


def test_beef_below_it_has_the_row_of_the_table_with_title_scope_and_what_it_counts_on() -> None:
    # FSIS Appendix A (1999): 135 F (57.2 degC), 36 min; 130 F (54.4 degC), 112 min.
    said = whole("54C", "57.3C", animal="beef")
    assert "36 min held at 57.2 °C" in said
    assert "Appendix A (1999)" in said and "not poultry" in said
    assert "over 90 % relative humidity for an hour or more" in said
    assert "at most 6 h 00 min from 10 °C to 54 °C" in said
    assert "112 min held at 54.4 °C" in whole("50C", "54.9C", animal="beef")


def test_there_is_no_credit_below_the_first_row_nor_for_anything_but_whole_beef() -> None:
    assert "no row below 54.4 °C" in whole("50C", "54C", animal="beef")
    for animal, kind in PAIRS:
        if (animal, kind) != ("beef", "whole"):
            assert "min held at" not in whole("54C", "57.3C", animal=animal, kind=kind)
    assert "Only the full temperature counts" in whole("54C", "57.3C", animal="beef", kind="tenderised")


@pytest.mark.parametrize("kind", FOOD_DECIDED)
def test_each_prompt_at_which_it_is_decided_calls_it_below(kind: str) -> None:
    made = plan("57C", "62C", sear=True, animal="pork")
    prompt = make_prompt(made, kind, 1, ["A"], 0.0, 57.0)
    assert "below it" in str(prompt.caution[0]) and "USDA" in str(prompt.caution[0])


@settings(max_examples=300, deadline=None)
@given(
    pair=st.sampled_from(PAIRS), pull_c=st.floats(20.0, 110.0), rise_c=st.floats(0.0, 30.0), sear=st.booleans(),
    rest_s=st.sampled_from([0.0, 60.0, 180.0, 900.0]),
)  # fmt: skip
def test_whatever_leaves_the_last_heat_below_the_chart_is_called_so(
    pair: tuple[str, str], pull_c: float, rise_c: float, sear: bool, rest_s: float
) -> None:
    made, (animal, kind) = load_plan("two_chops") if sear else plan("57C", "63C"), pair
    piece = replace(made.pieces[0], pull_c=pull_c, final_c=pull_c + rise_c, rest_s=rest_s, animal=animal, kind=kind)
    core_c, advice = (pull_c + rise_c) if sear else pull_c, advised(animal, kind)
    short_of_it = core_c < advice.core_c - 0.05 or (not sear and rest_s < advice.rest_s)
    said = str(food_words.whole(made, piece))
    assert food_words.below(made, piece) == short_of_it
    assert ("pregnant" in said) == short_of_it
    assert f"{advice.core_c}" in said
    assert not any(word in said.lower() for word in ("pasteur", "is safe", "safe to"))


def test_a_rehearsal_says_which_pieces_are_below_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for final, said in (("54C", 1), ("63C", 0)):
        text = ROAST.format(pull="50C", final=final, rest="3 min", more='animal = "beef"\nthickness = "30 mm"')
        file = tmp_path / "my.toml"
        file.write_text(text.replace("[[piece]]", f"{SEAR}[[piece]]"), encoding="utf-8")
        assert main(["rehearse", str(file)]) == 0
        assert capsys.readouterr().out.count("below it") == said
