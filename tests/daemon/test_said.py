"""Texts with quantities: each number that a person reads is held to its fact by another route, in both units.

The other route: a temperature in degF is degC x 9/5 + 32, a difference x 9/5 alone (NIST SP 811,
appendix B, from memory), in exact fractions; the number shown must be within half of its last digit.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from fractions import Fraction

import msgspec
import pytest

from emberdraft.daemon.alarm_texts import TEXTS, Then, words_of
from emberdraft.daemon.face_book import face_lines
from emberdraft.daemon.marks import label
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.plan_check import looked_ahead
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.daemon.prompts import make_prompt
from emberdraft.daemon.steps import STEPS
from emberdraft.ready.coach import Move
from emberdraft.ready.face import learn
from emberdraft.said import Difference, Said, Temperature, Text, first_lower, first_upper, joined, render, said
from emberdraft.web.pages import STATIC

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
    yield from (label({"kind": kind, "value": 57.2, "text": "A"}) for kind in ("stone_face", "pull_at", "vent_top"))
    yield from face_lines(learn([(290.0, 265.0)]), 270.0, None)


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
