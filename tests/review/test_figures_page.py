"""docs/reference/figures.md names every figure there is, and no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from emberdraft.review import figures_of
from emberdraft.store import Store

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "figures.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## ([\w, ]+)\n(.*?)(?=^## |\Z)", PAGE, re.MULTILINE | re.DOTALL))


def _keys(section: str) -> set[str]:
    cells = re.findall(r"^\| ([\w, ]+) \|", SECTIONS[section], re.MULTILINE)
    return {key.strip() for cell in cells for key in cell.split(",")} - {"key"}


def test_every_part_has_its_section(store: Store, cook: int) -> None:
    named = {part.strip() for head in SECTIONS for part in head.split(",")}
    assert named == set(figures_of(store, cook))


@pytest.mark.parametrize("part", ["cook", "record"])
def test_keys_of_a_single_part(store: Store, cook: int, part: str) -> None:
    assert _keys(part) == set(figures_of(store, cook)[part])


@pytest.mark.parametrize("part", ["phases", "pieces", "lid_lifts"])
def test_keys_of_a_list(store: Store, cook: int, part: str) -> None:
    assert _keys(part) == set(figures_of(store, cook)[part][0])


def test_keys_of_a_disturbance() -> None:
    from emberdraft.review.found import disturbances
    from tests.review.making import columns, phase

    (found,) = disturbances(columns([120.0] * 500 + [130.0] * 100 + [120.0] * 9), [phase("slow", 0, None)], [])
    assert _keys("disturbances") == set(found)
