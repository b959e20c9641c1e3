"""Plans: whatever a person writes is either a checked plan or one clear line."""

from __future__ import annotations

import msgspec
import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from emberboard.core import hold
from emberdraft.daemon.plan import example_names, example_text, load_plan, parse_plan
from emberdraft.daemon.plan_form import PlanForm
from emberdraft.errors import UserError

TEXT = example_text("two_chops")


def refusal(text: str) -> str:
    with pytest.raises(UserError) as refused:
        parse_plan(text)
    line = str(refused.value)
    assert "\n" not in line
    return line


def test_the_gains_that_a_packaged_plan_changes_are_near_those_of_the_board():
    """An example is copied: what it changes must suit the control law as it is now."""
    board = {"kp": hold.KP, "ti_s": hold.TI_S, "td_s": hold.TD_S}
    for change in (change for name in example_names() for change in load_plan(name).gains):
        for key, value in ((key, getattr(change, key)) for key in board):
            assert value is None or 0.66 <= value / board[key] <= 1.5, (key, value)


@pytest.mark.parametrize("name", example_names())
def test_every_packaged_plan_is_valid_and_says_that_it_is_invented(name):
    plan = load_plan(name)
    assert plan.invented
    assert plan.text == example_text(name)


def test_the_demonstration_plan_is_the_cook_that_the_job_names():
    plan = load_plan("two_chops")
    assert plan.phases == ["light", "soak", "slow", "climb", "sear", "bank"]
    assert [(p.letter, p.pull_c, p.final_c, p.animal) for p in plan.pieces] == [
        ("A", 57.0, 63.0, "pork"),
        ("B", 57.0, 63.0, "pork"),
    ]
    assert (plan.slow.target_c, plan.climb.stone_c) == (115.0, 270.0)
    assert plan.pieces[0].start_c > plan.pieces[1].start_c


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("pull =", "pul =", "[piece 1] unknown key 'pul'; perhaps 'pull'"),
        ('"57C"', "57", "[piece 1] pull 57: a bare number has no unit"),
        ('"420 g"', '"420"', "[piece 1] mass '420': a bare number has no unit"),
        ("sides = 2", 'sides = "two"', "[sear] sides 'two': a whole number would be right"),
        ("sides = 2", "sides = 40", "[sear] sides 40: 1 to 12"),
        ("[climb]", "[climp]", "unknown key 'climp'; perhaps 'climb'"),
        ("version = 1", "", "version None: add version = 1"),
        ("version = 1", "version = 9", "version 9: this program reads version 1"),
        ('animal = "pork"', 'animal = "porc"', "[piece 1] animal 'porc': perhaps 'pork'"),
        ('prompt = "flip"', 'prompt = "flop"', "[stand_in.act 4] prompt 'flop': perhaps 'flip'"),
        ('stone = "270C"', 'stone = "470C"', "[climb] stone '470C': 100C to 380C"),
        ('stone = "270C"', 'stone = "270 mm"', "[climb] stone '270 mm': 'mm' is not a unit of temperature"),
        ('letter = "B"', 'letter = "A"', "[piece 2] letter 'A': one capital letter"),
        ("probe = 1", "probe = 0", "[piece 2] probe 0: 0 to 7, another for each piece"),
        ('pull = "57C"', 'pull = "157C"', "[piece 1] pull '157C': between its start, 8C, and the pit, 115C"),
        ('final = "63C"', 'final = "33C"', "[piece 1] final '33C': at least its pull, 57C"),
        ('pit_limit = "350C"', 'pit_limit = "90C"', "[climb] pit_limit '90C': above 115C, at most 400C"),
        ('ti = "1000 s"', "", "[gains 1] 'empty': at least one of kp, ti, td, b"),
        ('phase = "slow"', 'phase = "slo"', "[gains 1] phase 'slo': perhaps 'slow'"),
        ('letter = "A"', "", "[piece 1] letter is missing; add it"),
        ("forgets = 1", "forgets = -1", "[stand_in.act 2] forgets -1: 0 to 20 times"),
        ("thickness = ", "thicknes = ", "perhaps 'thickness'"),
        ("[light]", "[light", "not TOML"),
    ],
)
def test_a_mistake_is_named_with_its_place_its_value_and_what_would_be_right(old, new, words):
    assert words in refusal(TEXT.replace(old, new, 1))


def test_a_slow_phase_needs_an_end():
    assert 'for = "3h"' in refusal(example_text("hold").replace('for = "3h"', ""))


def test_a_sear_needs_a_climb():
    text = example_text("hold").replace("[bank]", "[sear]\n[bank]")
    assert "a [climb] table" in refusal(text)


def test_fahrenheit_and_pounds_are_read_as_they_are_written():
    plan = parse_plan(TEXT.replace('"270C"', '"518F"').replace('"420 g"', '"1 lb"'))
    assert plan.climb.stone_c == pytest.approx(270.0)  # (518 - 32) / 1.8
    assert plan.pieces[0].mass_kg == pytest.approx(0.45359237)  # the international pound


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"\x00", b"[" * 100_000])
def test_a_file_that_is_no_plan_is_refused(tmp_path, content):
    path = tmp_path / "x.toml"
    path.write_bytes(content)
    with pytest.raises(UserError):
        load_plan(path)


@pytest.mark.parametrize("path", ["nowhere.toml", "no\0where", ".", "unknown_example"])
def test_a_path_that_is_no_file_is_refused_with_the_examples_named(path):
    with pytest.raises(UserError, match="two_chops"):
        load_plan(path)


_KEYS = st.sampled_from([f.encode_name for f in msgspec.structs.fields(PlanForm)]) | st.text(max_size=8)
_VALUES = st.recursive(
    st.none().map(lambda _: "") | st.booleans() | st.integers() | st.floats() | st.text(max_size=12) | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(table=st.dictionaries(_KEYS, _VALUES, max_size=6), versioned=st.booleans())
def test_no_table_makes_a_traceback(table, versioned):
    if versioned:
        table["version"] = 1
    try:
        parse_plan(tomli_w.dumps(table))
    except UserError as refused:
        assert "\n" not in str(refused)


@settings(max_examples=150, deadline=None)
@given(at=st.integers(0, len(TEXT)), cut=st.integers(0, 12), put=st.text(max_size=6))
def test_no_slip_of_the_pen_makes_a_traceback(at, cut, put):
    try:
        parse_plan(TEXT[:at] + put + TEXT[at + cut :])
    except UserError as refused:
        assert "\n" not in str(refused)
