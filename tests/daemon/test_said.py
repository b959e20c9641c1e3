"""Texts with quantities: each number that a person reads is held to its fact by another route, in both units.

The other route: a temperature in degF is degC x 9/5 + 32, a difference x 9/5 alone (NIST SP 811,
appendix B, from memory), in exact fractions; the number shown must be within half of its last digit.
"""

from __future__ import annotations

import ast
import itertools
import json
import re
import subprocess
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import msgspec
import pytest

from emberboard.core.words import MODES, WHYS
from emberdraft.daemon.alarm_texts import TEXTS, Then, kept_words, words_of
from emberdraft.daemon.face_book import face_lines
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.plan_check import looked_ahead
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.daemon.prompts import make_prompt
from emberdraft.daemon.sentence import Facts, say
from emberdraft.daemon.steps import STEPS
from emberdraft.mark_words import label
from emberdraft.mark_words import told as all_of
from emberdraft.ready.coach import Move
from emberdraft.ready.face import learn
from emberdraft.review.happened import disturbance_words, lift_words
from emberdraft.review.late import late_words
from emberdraft.review.why import why_words
from emberdraft.said import Difference, Said, Temperature, Text, first_lower, first_upper, joined, render, said
from emberdraft.web.pages import STATIC
from tests.daemon.test_sentence import DRIVE, HOLD

PLANS = ("two_chops", "by_hand")
NUMBER = re.compile(r"\u2212?[0-9]+(?:\.[0-9]+)?")
EDGES = (-40.0, -0.04, 0.04, 0.5, 1.6, 16.0, 57.2, 99.95, 115.5555, 121.25, 199.95, 240.5, 350.0)


def texts() -> Iterator[Text]:
    """What alarms, prompts, cautions, marks and the plan's check say, of made-up figures."""
    for alert in TEXTS:
        yield from words_of(alert, 240.5, 232.2, Then(60.0, 1_790_000_000.0, 115.5555))
    for name in PLANS:
        plan = load_plan(name)
        for kind in PROMPT_KINDS:
            letters = [piece.letter for piece in plan.pieces]
            move = Move("top", 0.375, said("it is {off} under", off=Difference(1.6)))
            vents = {move.vent: move.opening} if kind in ("move_vent", "light", "start_climb") else None
            if not _possible(plan, kind):
                continue
            prompt = make_prompt(plan, kind, 1, letters, 0.0, 121.25, vents, move.why, by_hand=not plan.blower)
            yield from (prompt.title, prompt.text, prompt.deed, *prompt.caution)
        for lines in looked_ahead(plan).values():
            yield from lines
        for step in STEPS.values():
            yield from step.cautions
            if step.coming is not None and step.in_plan(plan):
                yield step.coming(plan)
    for kind in ("stone_face", "pull_at", "vent_top", "fuel", "pulled", "of_a_later_version"):
        mark = {"kind": kind, "value": 0.375 if kind == "vent_top" else 57.2, "text": "A"}
        yield from (label(mark), all_of(mark))
    yield from spoken()
    yield from looked_back_on()
    yield from face_lines(learn([(290.0, 265.0)]), 270.0, None)


def spoken() -> Iterator[Text]:
    """The sentence and the one with figures, in every mode, for every word of the board; and no more than is read."""
    then = {**HOLD, "duty": 0.2, "p": -0.2, "pit_c": 118.35, "target_c": 121.0}
    for row, mode, why in itertools.product((HOLD, DRIVE), MODES, WHYS):
        for more in ({}, {"pit_c": 96.65, "phase": "light"}, {"stone_c": 259.5, "lid_open": row is HOLD}):
            heard = {**row, **more, "mode": mode, "why": why}
            before = then if row is HOLD else {**then, "target_c": 107.2}
            yield from say(Facts(heard, pit_rate=0.35, stone_rate=-1.15, before=before, limit_c=350.0))
            yield from say(Facts({**heard, "lid_open": False}, pit_rate=0.35, by_hand_c=115.5555))


def looked_back_on() -> Iterator[Text]:
    """What is said of a cook that is over."""
    late = {"letters": "A", "due_s": 0.0, "done_s": 900.0, "late_s": 900.0, "at_latest": False}
    for what, (from_c, to_c) in itertools.product(
        ("set_in", "put_on", "pull", "climb", "sear", "side"), ((57.2, 61.35), (270.0, 231.5), (None, None))
    ):
        yield late_words({**late, "what": what, "from_c": from_c, "to_c": to_c})
    why = {"target_c": 270.0, "highest_c": 231.5, "took_s": None, "lasted_s": 1500.0, "expect_s": 1200.0}
    for limit, more in {
        "late": {"took_s": 1300.0, "due_s": 0.0, "late_s": 900.0, "from_c": 270.0, "to_c": 231.5},
        "target": {"planned_c": 280.5},
        "stopped": {"cause": "The pit reached 259 °C", "stopped_s": 0.0},
        "vent": {"vent_top": 0.375},
        "air": {"advice": "Open the vent", "with_advice_c": 262.25, "as_it_was_c": 240.5},
    }.items():
        yield from (text for text in why_words({**why, **more, "limit": limit}) if limit != "stopped")
    yield lift_words({"open_s": 80.0, "drop_c": 43.6, "recovery_s": 540.0, "rebound_c": 0.65})
    yield disturbance_words({"worst_c": -6.25, "duration_s": 240.0, "phase": "slow"})
    yield from kept_words({"alert": "pit_over_limit", "value": 259.25, "limit_value": 250.0}).values()


def _possible(plan, kind):
    return bool(plan.pieces) or kind not in ("put_on", "check", "pull", "sear_on", "flip", "take_off")


def quantities(text: Text) -> list[Temperature | Difference]:
    return [] if isinstance(text, str) else [part for part in text.parts if not isinstance(part, str)]


def exact(of: Temperature | Difference, unit: str) -> Fraction:
    value = Fraction(of.c)
    if unit == "c":
        return value
    return value * Fraction(9, 5) + (32 if isinstance(of, Temperature) else 0)


def held(of: Temperature | Difference, shown: str, unit: str) -> None:
    """The number shown is its fact, rounded to the digits that it has; its unit is the one asked for."""
    (number,) = NUMBER.findall(shown)
    half = Fraction(1, 2 * 10 ** len(number.partition(".")[2]))
    assert abs(Fraction(number.replace("\u2212", "-")) - exact(of, unit)) <= half, (of, shown)
    bare = isinstance(of, Difference) and of.bare
    assert shown.removeprefix(number) == ("" if bare else f"\u00a0°{unit.upper()}")


@pytest.mark.parametrize("unit", ["c", "f"])
def test_each_number_of_each_text_is_its_fact(unit):
    found = [text for text in texts() if quantities(text)]
    assert len(found) > 20
    for text in found:
        assert isinstance(text, Said)
        for of in quantities(text):
            held(of, render(said("{of}", of=of), unit), unit)
        pieces = [part if isinstance(part, str) else render(said("{of}", of=part), unit) for part in text.parts]
        assert render(text, unit) == "".join(pieces)


def test_no_degrees_are_left_in_the_pieces_of_text():
    # A temperature written as text would be shown in degC to whoever asked for degF.
    for text in texts():
        plain = [text] if isinstance(text, str) else [part for part in text.parts if isinstance(part, str)]
        assert not [part for part in plain if "°" in part]


# Units of other tools' forms, and messages that name both units or a reading of a fridge as it was typed.
SPELLED = {
    "daemon/homie.py",  # the unit of a property, as the convention spells it
    "food/fridge.py",  # a refusal: what would be right
    "review/drawing.py",  # an axis, in the unit it is drawn for
    "review/paper.py",
}


def test_no_words_of_the_host_spell_a_degree():
    """A number with its unit in a string is prose: it could not be said in the other unit."""
    root = STATIC.parents[1]
    found = set()
    for room in ("daemon", "review", "web", "evening", "ready", "food"):
        for path in sorted((root / room).rglob("*.py")):
            if any("°" in text for text in _strings(path)):
                found.add(str(path.relative_to(root)))
    assert found == SPELLED


def _strings(path: Path) -> Iterator[str]:
    """All string constants but those that stand alone: those are docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    alone = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in alone:
            yield node.value


def test_the_page_says_it_as_the_host_does():
    made = [kind(c, digits) for kind in (Temperature, Difference) for c in EDGES for digits in (0, 1)]
    made += [Temperature(c, 1, 1) for c in EDGES] + [Difference(c, bare=True) for c in EDGES]
    given = [said("at {of}.", of=of) for of in made] + list(texts())
    script = """globalThis.document = { documentElement: { dataset: {} } };
      const { words } = await import(process.argv[1]); let all = "";
      for await (const part of process.stdin) all += part;
      console.log(JSON.stringify(JSON.parse(all).map((text) => [words(text, "C"), words(text, "F")])));"""
    command = ["node", "--input-type=module", "-e", script, str(STATIC / "js" / "units.js")]
    told = subprocess.run(command, input=msgspec.json.encode(given), capture_output=True, check=True).stdout
    plain = [[render(text, unit).replace("\u00a0", " ") for unit in "cf"] for text in given]
    assert [[each.replace("\u00a0", " ") for each in pair] for pair in json.loads(told)] == plain


def test_one_cup_and_give_or_take_are_differences():
    # Seen before in degF: "34 degF apart; up to 34 is usual" of 0.9 and 1.0 degC, "give or take 48" of 8.9 degC.
    text = said(
        "{a} apart; up to {b} is usual, give or take {c}", a=Difference(0.9), b=Difference(1.0), c=Difference(8.9, 0)
    )
    assert render(text, "f").replace("\u00a0", " ") == "1.6 °F apart; up to 1.8 °F is usual, give or take 16 °F"


def test_a_target_of_240_degf_is_240_in_a_text():
    # 240 degF are 115.555... degC; rounded to 116 degC first, it was 241.
    assert render(said("{pit}", pit=Temperature(115.5555)), "f") == "240\u00a0°F"


def test_a_text_with_quantities_is_not_put_into_a_string_unseen():
    text = said("The pit is at {pit}", pit=Temperature(121.0))
    with pytest.raises(TypeError):
        f"{text}"
    assert str(text) == "The pit is at 121\u00a0°C"


def test_texts_are_joined_and_begun():
    text = joined(" ", ("a", "", said("{x} is b.", x=Temperature(1.0))))
    assert render(text) == "a 1\u00a0°C is b."
    assert (render(first_upper(text))[0], first_lower("Ab")) == ("A", "ab")
    assert said("{a} b", a="c") == "c b"


def test_a_text_comes_back_from_the_record_as_it_was():
    text = said("{pit}, {gap} over", pit=Temperature(121.25, 1), gap=Difference(0.4))
    assert msgspec.convert(json.loads(msgspec.json.encode(text)), Text) == text
    assert msgspec.convert("121 °C, as an older record has it", Text) == "121 °C, as an older record has it"
