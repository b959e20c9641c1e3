"""The README's picture and numbers are what the code and the record of the proof give."""

from __future__ import annotations

import re

import pytest

from tests.proof.record import README, RECORD, load
from tests.readme_page import PICTURE, numbers, picture, readme_with

TEXT = README.read_text(encoding="utf-8")


def test_the_numbers_are_those_of_the_proof() -> None:
    assert numbers(load(RECORD)) in TEXT
    assert readme_with("a newer table", TEXT).count("a newer table") == 1


def test_the_picture_is_the_cook_that_is_rehearsed_today() -> None:
    """Control changed, and it fails? `python -m tests.readme_page` draws it anew."""
    assert picture() == PICTURE.read_text(encoding="utf-8")


def test_half_a_minute_is_enough_to_read_what_it_is() -> None:
    """A quick reader's 240 words a minute (common practice, no source): what stands above the first command."""
    above = re.sub(r"<!--.*?-->|\]\([^)]*\)|[|*#]", " ", TEXT.split("## Try it", 1)[0].split("## What it is worth")[0])
    assert len(above.split()) <= 120


@pytest.mark.parametrize(
    "word", ["simulated", "Real fires: 0", "carbon monoxide", "Local food, fire and electrical codes"]
)
def test_what_nobody_may_miss_is_there(word: str) -> None:
    assert word in TEXT


def test_a_temperature_is_given_in_both_units_and_rightly() -> None:
    """degF = 1.8 degC + 32 by its definition; a difference has no 32 (NIST SP 811, B.8)."""
    said = re.findall(r"(\d+(?:\.\d)?) °C \((\d+) °F\)", TEXT)
    assert len(said) >= 4
    differences = {"8", "2.8"}
    assert [f for c, f in said if round(1.8 * float(c) + (0 if c in differences else 32)) != int(f)] == []
