"""docs/explain/plant.md prints figures of each cooker: they must be the code's."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.plant import CATALOGUE
from tests.plant.figures import HEAD, figures

PAGE = (Path(__file__).parents[2] / "docs" / "explain" / "plant.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [entry.name for entry in CATALOGUE])
def test_the_page_prints_what_the_cooker_does(name):
    printed = next(line for line in reversed(PAGE.splitlines()) if line.startswith(f"| {name} |"))
    values = [float(cell) for cell in printed.strip("| ").split("|")[1:]]
    now = figures(name)
    for key, value in zip(HEAD[1:], values, strict=True):
        step = 0.011 if key == "kg/h" else 1.01  # another machine's exp() may tip a rounding
        assert now[key] == pytest.approx(value, abs=step), key


def test_the_page_says_which_cookers_are_for_validation():
    for entry in CATALOGUE:
        assert f"| {entry.name} | {entry.use} |" in PAGE
