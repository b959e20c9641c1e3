"""Checked against the printed rows of USDA FSIS Appendix A (1999), kept in tests/published."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from emberdraft.food.lethality import ROWS, Lethality, danger_zone_s

TABLE = Path(__file__).parents[1] / "published" / "fsis_appendix_a_beef.csv"


def _printed() -> list[dict[str, str]]:
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def _held(temp_c: float, seconds: float, column: int = 1) -> float:
    lethality = Lethality(column)
    for second in range(int(seconds) + 1):
        lethality.update(float(second), temp_c)
    return lethality.share


def test_the_code_holds_the_printed_rows() -> None:
    printed = [(int(r["degF"]), int(r["seconds_6p5log"]), int(r["seconds_7log"])) for r in _printed()]
    assert printed == list(ROWS)


@pytest.mark.parametrize("row", _printed()[:-1], ids=lambda r: f"{r['degF']}F")
def test_a_constant_core_takes_the_rows_time_and_never_less(row: dict[str, str]) -> None:
    temp_c = (float(row["degF"]) - 32.0) * 5.0 / 9.0
    seconds = float(row["seconds_6p5log"])
    assert _held(temp_c, seconds) == pytest.approx(1.0, abs=1e-9)
    assert _held(temp_c, seconds - 1.0) < 1.0


def test_no_credit_below_the_first_row() -> None:
    assert _held(54.4, 100_000.0) == 0.0


def test_a_gap_earns_nothing() -> None:
    lethality = Lethality()
    lethality.update(0.0, 65.0)
    lethality.update(10.0, None)
    assert lethality.update(5000.0, 65.0) == 0.0


def test_a_single_stray_hot_sample_is_not_enough() -> None:
    lethality = Lethality()
    for second, core_c in enumerate([40.0, 75.0, 40.0]):
        lethality.update(float(second), core_c)
    assert lethality.share == 0.0


def test_of_a_row_that_is_printed_as_instantaneous_the_time_of_the_row_before_counts() -> None:
    """158 degF is 70 degC: 14 s for 6.5-log and 15 s for 7-log stand at 157 degF."""
    assert _held(70.0, 14.0) == pytest.approx(1.0, abs=1e-9)
    assert _held(70.0, 15.0, column=2) == pytest.approx(1.0, abs=1e-9)


def test_without_a_word_it_is_the_column_of_the_title() -> None:
    """6.5-log: 169 s at 146 degF; 182 s would be 7-log."""
    lethality = Lethality()
    lethality.update(0.0, 63.4)
    assert lethality.update(169.0, 63.4) == pytest.approx(1.0)


def test_between_rows_the_lower_row_counts() -> None:
    assert _held(60.3, 720.0) == pytest.approx(1.0, abs=1e-9)  # 140.5 degF counts as the row of 140 degF: 12 min


def test_danger_zone_is_40_to_140_degf() -> None:
    curve = [(0.0, 4.0), (60.0, 4.2), (120.0, 30.0), (180.0, 70.0), (240.0, 70.0)]
    assert danger_zone_s(curve) == 120.0


@pytest.mark.parametrize(("core_c", "counts"), [(4.4, False), (4.6, True), (59.9, True), (60.0, False), (62.0, False)])
def test_the_danger_zone_has_its_ends_outside(core_c: float, counts: bool) -> None:
    """USDA: cold food at 40 degF or below, hot food at 140 degF or above."""
    assert danger_zone_s([(0.0, core_c), (60.0, core_c)]) == (60.0 if counts else 0.0)
