"""The form of a cook and its file: what a person says is written, what the file says besides stays."""

from __future__ import annotations

import msgspec
import pytest

from emberdraft.daemon.cook_form import CookForm, PieceForm, advice_of, form_of, told_of, values_of
from emberdraft.daemon.cook_form_write import own, written
from emberdraft.daemon.plan import example_names, example_text, parse_plan
from emberdraft.errors import UserError

CHOPS = example_text("two_chops")


def form(text: str) -> CookForm:
    return form_of(parse_plan(text))


def after(text: str, **changes: object) -> str:
    """The text with these fields of its form changed."""
    return written(text, msgspec.structs.replace(form(text), **changes))


def with_piece(text: str, **changes: object) -> str:
    """The same of its first line of food."""
    pieces = form(text).pieces
    return after(text, pieces=[msgspec.structs.replace(pieces[0], **changes), *pieces[1:]])


@pytest.mark.parametrize("name", example_names())
def test_a_form_that_is_not_changed_leaves_its_file_as_it_is_to_the_letter(name: str) -> None:
    text = example_text(name)
    assert written(text, form(text)) == text


@pytest.mark.parametrize("name", example_names())
def test_one_of_ours_as_a_persons_own_is_invented_no_more(name: str) -> None:
    plan = parse_plan(own(example_text(name)))
    assert not plan.invented and plan.stand_in is None
    assert "invented" not in plan.text
    assert form(plan.text).pieces == form(example_text(name)).pieces


def test_comments_and_keys_that_the_form_does_not_ask_stay() -> None:
    made = after(CHOPS, pit="250F", serve="19:00", charcoal="5 lb")
    assert "# the blower sits in it" in made and "# at temperature; common practice" in made
    assert 'vent_top = "1/4"' in made and "[[gains]]" in made
    plan = parse_plan(made)
    assert plan.slow.target_c == plan.light.target_c == pytest.approx(121.1, abs=0.1)  # 250 degF by hand
    assert plan.light.charcoal_kg == pytest.approx(2.268, abs=1e-3)  # 5 international pounds
    assert 'target = "250F"' in made and plan.serve == "19:00"


def test_text_and_form_are_used_by_turns_and_neither_forgets_what_the_other_said() -> None:
    first = after(CHOPS, serve="19:00")
    by_hand = first.replace('letter = "A"', 'letter = "A"\nwrap = "50C"   # mine')
    last = after(by_hand, name="Mine")
    assert "# mine" in last and parse_plan(last).pieces[0].wrap_c == 50.0
    assert (form(last).serve, form(last).name) == ("19:00", "Mine")


def test_more_of_a_food_get_letters_of_their_own_and_the_probes_that_are_left() -> None:
    made = parse_plan(with_piece(example_text("thick_chops"), count=4))
    assert [piece.letter for piece in made.pieces] == ["A", "B", "C", "D"]
    assert [piece.probe for piece in made.pieces] == [0, 1, None, None]
    assert all(piece.check_after_s > 1200.0 for piece in made.pieces[2:])
    assert form(made.text).pieces[0].count == 4
    fewer = parse_plan(with_piece(made.text, count=1))
    assert [piece.letter for piece in fewer.pieces] == ["A"]


def test_another_food_is_added_and_the_first_is_not_touched() -> None:
    new = PieceForm(animal="pork", cut="shoulder", mass="5.5lb", rest="45 min")
    text = example_text("thick_chops")
    made = after(text, pieces=[*form(text).pieces, new])
    plan = parse_plan(made)
    assert [piece.name for piece in plan.pieces] == ["pork chop", "pork chop", "pork shoulder"]
    assert plan.pieces[2].mass_kg == pytest.approx(2.495, abs=1e-3)
    assert plan.pieces[2].final_c == 93.0, "tender, where nobody says how done"
    assert made.startswith(text.split("[stand_in]")[0].rstrip()[:200])


def test_all_food_taken_off_leaves_a_hold_until_it_is_said() -> None:
    text = example_text("thick_steaks")
    made = after(text, pieces=[], stone="")
    plan = parse_plan(made)
    assert plan.phases == ["light", "soak", "slow", "bank"]
    assert plan.slow.for_s is None and plan.until_said and form(made).hold == ""
    again = after(made, pieces=[PieceForm(animal="beef", cut="steak", thickness="4 cm")])
    assert parse_plan(again).at_end == "bank"


@pytest.mark.parametrize(("done", "least_c"), [("63C", 62.75), ("145F", 62.75), ("74C", 62.75)])
def test_who_asks_for_what_the_usda_advises_gets_it_on_leaving_the_heat(done: str, least_c: float) -> None:
    """USDA FSIS, safe minimum internal temperatures: 145 degF before the rest, for whole pork."""
    made = parse_plan(with_piece(after(example_text("thick_chops"), stone=""), done=done))
    assert all(piece.pull_c >= least_c for piece in made.pieces)
    assert made.pieces[0].pull_c <= made.pieces[0].final_c
    assert not any(row["below"] for row in told_of(made))


def test_what_is_below_is_said_beside_the_animal_it_is_below_for() -> None:
    rare = form(with_piece(example_text("thick_steaks"), done="52C"))
    assert advice_of(rare)[0] == {"core_c": 62.8, "rest_s": 180.0, "below": True, "short_rest": False}
    bird = form(example_text("whole_bird"))
    assert (advice_of(bird)[0]["core_c"], advice_of(bird)[0]["below"]) == (73.9, False)
    rare.pieces[0].animal = "poultry"
    assert advice_of(rare)[0]["core_c"] == 73.9


def test_the_pull_follows_how_done_it_is_to_be_and_with_a_sear_lies_lower() -> None:
    text = example_text("thick_chops")
    pulls = [parse_plan(with_piece(text, done=done)).pieces[0].pull_c for done in ("55C", "60C", "66C")]
    assert pulls == sorted(pulls) and pulls[0] < 52.0
    assert parse_plan(with_piece(after(text, stone=""), done="60C")).pieces[0].pull_c > pulls[1]


def test_quantities_are_told_in_one_unit_for_a_page_that_has_its_own() -> None:
    text = after(example_text("shoulder"), pit="250F", grate="18in")
    values = values_of(form(text))
    assert values["pit"] == pytest.approx(121.1, abs=0.1)
    assert values["grate"] == pytest.approx(0.4572)  # 18 x 25.4 mm
    assert values["pieces"][0]["mass"] == 2.5 and values["pieces"][0]["thickness"] is None


WRONG = [
    ({"mass": "", "thickness": ""}, "pork shoulder: no mass and no thickness"),
    ({"count": 0}, "pork shoulder, how many: 0; 1 to 12 would be right"),
    ({"mass": "2.5"}, "'2.5'"),
    ({"mass": "60 kg"}, "'60kg'"),
    ({"count": 12, "mass": "9 kg"}, "m2 of food"),
    ({"done": "150C"}, "150C"),
    ({"wrap": "99C"}, "wrap '99C'"),
]


@pytest.mark.parametrize(("change", "said"), WRONG)
def test_food_that_cannot_be_is_refused_in_one_line(change: dict[str, object], said: str) -> None:
    with pytest.raises(UserError) as refused:
        with_piece(example_text("shoulder"), **change)
    assert said in str(refused.value) and "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"pit": ""}, "pit: no temperature"),
        ({"pit": "121"}, "'121'"),
        ({"charcoal": "0kg"}, "[light] charcoal '0kg'"),
        ({"serve": "26:00"}, "serve '26:00'"),
        ({"probes": 9}, "food probes: 9"),
        ({"grate": "5cm"}, "grate '5cm'"),
    ],
)
def test_a_cook_that_cannot_be_is_refused_in_one_line(change: dict[str, object], said: str) -> None:
    with pytest.raises(UserError) as refused:
        after(example_text("shoulder"), **change)
    assert said in str(refused.value) and "\n" not in str(refused.value)


def test_a_file_with_a_fault_or_an_unknown_key_is_not_written_into() -> None:
    for wrong in (CHOPS.replace("[light]", "[lit]"), CHOPS.replace("ambient", "ambience"), "version = 1"):
        with pytest.raises(UserError):
            written(wrong, form(CHOPS))
