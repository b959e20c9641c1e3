"""What the published tables say of a piece's curve in a record: USDA minimum, FSIS Appendix A (1999), danger zone."""

from __future__ import annotations

import pytest

from emberdraft.food.lethality import SCOPE, TITLE
from emberdraft.review.pieces import piece_figures
from emberdraft.review.safety import kinds_of, piece_safety, safety_of
from emberdraft.review.summary import safety_lines
from emberdraft.store import Store
from tests.review.making import START_S, columns

BEEF = {"A": ("whole", "beef")}


def _figures(core: list[float], pulled: float, sides: list[float] = ()) -> tuple[dict, dict]:
    made = columns([120.0] * len(core), core1_c=core)
    piece = {"letter": "A", "name": "roast", "probe": 0, "pull_c": 57.0, "rest_c": 60.0}
    figures = piece_figures(made, piece | {"on_s": START_S, "pulled_s": START_S + pulled})
    return made, figures | {"sides": [{"at_s": START_S + at} for at in sides]}


def test_half_of_the_tables_time_is_half_a_share_and_the_rest_counts() -> None:
    """140 degF (60 degC): 12 min in both columns of the table; six of them, three in the pit and three at rest."""
    made, figures = _figures([60.0] * 361, 180.0)
    rows = piece_safety(made, figures, BEEF)
    assert rows["table_6p5_log_share"] == pytest.approx(0.5, abs=0.01)
    assert rows["table_7_log_share"] == pytest.approx(0.5, abs=0.01)
    assert (rows["table"], rows["table_scope"]) == (TITLE, SCOPE)
    assert "1999" in rows["table"]


def test_nothing_is_credited_below_the_first_row() -> None:
    made, figures = _figures([54.3] * 7200, 7000.0)
    assert piece_safety(made, figures, BEEF)["table_6p5_log_share"] == 0.0


def test_what_a_bead_reads_on_the_stone_is_no_middle_of_a_piece() -> None:
    made, figures = _figures([50.0] * 600 + [70.0] * 600, 300.0, sides=[600.0])
    rows = piece_safety(made, figures, BEEF)
    assert rows["highest_c"] == 50.0
    assert rows["table_6p5_log_share"] == 0.0


def test_the_exception_is_named_and_the_table_kept_away_from_it() -> None:
    made, figures = _figures([60.0] * 361, 180.0)
    rows = piece_safety(made, figures, {"A": ("ground", "beef")})
    assert rows["table_6p5_log_share"] is None
    assert rows["usda_c"] == 71.1
    assert "full temperature" in rows["note"]


def test_the_kind_comes_from_the_plan_the_cook_began_with() -> None:
    text = 'version = 1\n[[piece]]\nletter = "A"\nkind = "ground"\nanimal = "beef"\n[[piece]]\nletter = "B"\n'
    assert kinds_of({"text": text}) == {"A": ("ground", "beef"), "B": ("whole", "other")}
    assert kinds_of({"text": "not toml ["}) == {}
    assert kinds_of(None) == {}


def test_words_say_title_year_scope_and_no_verdict() -> None:
    made, figures = _figures([60.0] * 361, 180.0)
    piece = figures | {"safety": piece_safety(made, figures, BEEF)}
    said = " ".join(safety_lines([piece], "c"))
    assert "50\u00a0% of the table's time" in said
    assert TITLE in said and SCOPE in said
    assert "local food codes come first" in said.lower()
    assert "pasteuri" not in said.lower()
    assert "140\u00a0°F" in " ".join(safety_lines([piece], "f"))


def test_the_record_gives_the_rows_of_a_running_cook(store: Store, cook: int) -> None:
    row = store.cook(cook)
    assert row is not None
    (piece,) = safety_of(store, row)
    assert piece["letter"] == "A"
    assert piece["safety"]["highest_c"] == pytest.approx(64.0)


def test_a_piece_that_was_not_measured_has_no_lines() -> None:
    made = columns([120.0] * 10)
    figures = piece_figures(made, {"letter": "A", "name": "roast", "probe": None, "pull_c": 57.0, "rest_c": 60.0,
                                   "on_s": START_S, "pulled_s": None})  # fmt: skip
    piece = figures | {"sides": []}
    assert safety_lines([piece | {"safety": piece_safety(made, piece, {})}], "c") == []
