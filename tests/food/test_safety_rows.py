"""Rows beside a curve: USDA minimum temperatures, FSIS Appendix A (1999), danger zone of 40 to 140 degF."""

from __future__ import annotations

from itertools import product
from typing import get_args

import pytest

from emberdraft.daemon.plan_form import Animal, FoodKind
from emberdraft.food.advised import advised
from emberdraft.food.safety_rows import may_temper, safety_rows


def _held(temp_c: float, seconds: int) -> list[tuple[float, float | None]]:
    return [(float(s), temp_c) for s in range(0, seconds + 1, 10)]


def test_whole_beef_held_for_the_tables_time_has_all_of_it() -> None:
    """140 degF (60 degC): 12 min in the table's 6.5-log and 7-log columns."""
    rows = safety_rows(_held(60.0, 720), "whole", "beef")
    assert rows.share_6p5 == pytest.approx(1.0)
    assert rows.share_7 == pytest.approx(1.0)
    assert rows.usda_c == 62.8
    assert "1999" in rows.title
    assert "not poultry" in rows.scope


@pytest.mark.parametrize(("kind", "animal"), [("whole", "pork"), ("ground", "beef"), ("poultry", "poultry")])
def test_the_table_says_nothing_of_other_food(kind: str, animal: str) -> None:
    assert safety_rows(_held(70.0, 900), kind, animal).share_6p5 is None


@pytest.mark.parametrize(("animal", "kind"), list(product(get_args(Animal), get_args(FoodKind))))
def test_the_usda_figure_is_that_of_the_plan(animal: str, kind: str) -> None:
    rows = safety_rows([], kind, animal)
    assert (rows.usda_c, rows.usda_rest_s) == advised(animal, kind)[:2]


def test_what_the_rest_adds_does_not_bring_a_piece_up_to_the_figure() -> None:
    curve = [(0.0, 56.0), (60.0, 57.0), (300.0, 64.0)]
    assert safety_rows(curve, "whole", "pork", left_heat_c=57.0).below is True
    assert safety_rows(curve, "whole", "pork", left_heat_c=62.8).below is False
    assert safety_rows(curve, "whole", "pork").below is None


def test_a_gap_earns_nothing_and_counts_in_the_danger_zone() -> None:
    curve = [(0.0, 58.0), (600.0, None), (3600.0, 58.0)]
    rows = safety_rows(curve, "whole", "beef")
    assert rows.share_6p5 == 0.0
    assert rows.danger_zone_s == 3600.0
    sparse = safety_rows([(0.0, 65.0), (3600.0, 65.0)], "whole", "beef")
    assert sparse.share_6p5 == 0.0
    assert sparse.at_or_over_usda_s == 0.0


def test_time_over_the_usda_figure_is_added_up() -> None:
    rows = safety_rows(_held(63.0, 180), "whole", "pork")
    assert rows.at_or_over_usda_s == 180.0
    assert rows.highest_c == 63.0


def test_tempering_is_never_over_an_hour() -> None:
    assert may_temper(3600.0)
    assert not may_temper(3601.0)


def test_no_row_is_a_verdict() -> None:
    for kind in ("whole", "ground"):
        rows = safety_rows(_held(60.0, 720), kind, "beef")
        assert not any(word in f"{rows.note} {rows.title} {rows.scope}" for word in ("safe", "pasteuri", "done"))
