"""The safety case is held against the code: its tests exist, every alarm and every bound has its row."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from emberboard.core import interlocks
from emberboard.core.words import ALERTS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "explain" / "safety.md").read_text(encoding="utf-8")
NAMED = sorted(set(re.findall(r"`(tests/[\w/.]+(?:::\w+)?)`", PAGE)))
HAZARDS = (
    "fire", "carbon monoxide", "flare", "embers", "burns", "burst stone", "grease", "electricity", "battery", "food",
    "children", "weather", "far away", "power", "settings", "firmware", "order", "alarm", "probe",
)  # fmt: skip


def rows(heading: str) -> list[list[str]]:
    """The cells of each row of the table under a heading."""
    part = PAGE.split(f"## {heading}\n", 1)[1].split("\n## ", 1)[0]
    lines = [line for line in part.splitlines() if line.startswith("|")][2:]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


@pytest.mark.parametrize("named", NAMED)
def test_every_test_that_is_named_exists(named: str):
    path, _, name = named.partition("::")
    target = ROOT / path
    assert target.exists()
    assert not name or re.search(rf"^def {name}\(", target.read_text(encoding="utf-8"), re.MULTILINE)


def test_every_alarm_of_the_board_has_a_row_that_names_a_test():
    table = {row[0].strip("`"): row for row in rows("Alarms of the board")}
    assert set(table) == set(ALERTS)
    assert all("tests/" in row[-1] for row in table.values())
    assert {row[1] for row in table.values()} == {"pause", "trip", "notice"}


def test_every_hazard_has_a_row_with_all_five_cells():
    table = rows("Hazards")
    said = " ".join(row[0] for row in table)
    assert [hazard for hazard in HAZARDS if hazard not in said] == []
    assert all(len(row) == 5 and row[1] and "tests/" in row[3] for row in table)


def test_every_bound_stands_there_with_the_number_that_runs():
    table = {row[0].strip("`"): float(row[1].split()[0]) for row in rows("Bounds")}
    assert table == {name: float(value) for name, value in vars(interlocks).items() if name.isupper()}


def test_every_folder_of_proofs_is_run_by_somebody():
    """A proof that no row names is not part of the case."""
    mine = {path.name for path in (ROOT / "tests" / "safety").glob("test_*.py")} - {"test_case.py", "test_mutation.py"}
    assert {name for name in mine if f"tests/safety/{name}" not in PAGE} == set()
