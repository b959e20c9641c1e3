"""docs/reference/database.md tells every table and column as it is, and its queries give what it shows."""

from __future__ import annotations

import re
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.store import Store
from tests.store.first_release import FILE

PAGE = (Path(__file__).parents[2] / "docs" / "reference" / "database.md").read_text(encoding="utf-8")
TABLES = dict(re.findall(r"^### (\w+)\n(.*?)(?=^### |^## )", PAGE, re.MULTILINE | re.DOTALL))
EXAMPLES = re.findall(r"```sql\n(.*?)```\n\n```text\n(.*?)```", PAGE, re.DOTALL)
PYTHON = re.findall(r"```python\n(.*?)```", PAGE, re.DOTALL)


@pytest.fixture
def db(path: Path) -> Iterator[sqlite3.Connection]:
    Store(path).close()
    with closing(sqlite3.connect(path)) as connection:
        yield connection


def _rows(text: str) -> list[list[str]]:
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def test_every_table_is_on_the_page(db: sqlite3.Connection) -> None:
    kept = db.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '%sqlite_%'")
    assert set(TABLES) == {name for (name,) in kept}


@pytest.mark.parametrize("table", TABLES)
def test_every_column_is_on_the_page_with_its_type(db: sqlite3.Connection, table: str) -> None:
    kept = [(name, kind) for _, name, kind, *_ in db.execute(f"PRAGMA table_info({table})")]
    assert [(row[0], row[1]) for row in _rows(TABLES[table])] == kept


@pytest.mark.parametrize("table", TABLES)
def test_every_column_has_a_unit_that_fits_its_name(table: str) -> None:
    units = {"_c": "degC", "_s": "s, unix", "_ms": "ms", "_kg": "kg", "_m": "m", "_duty": "duty", "_fault": "word"}
    for name, _, unit, _ in _rows(TABLES[table]):
        assert unit, f"{table}.{name}"
        ending = next((end for end in units if name.endswith(end)), None)
        assert ending is None or unit == units[ending], f"{table}.{name} is said to be in {unit}"


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 5
    assert PAGE.count("```sql") == len(EXAMPLES)


@pytest.mark.parametrize("number", range(len(EXAMPLES)))
def test_a_query_gives_what_the_page_shows(number: int, tmp_path: Path) -> None:
    query, shown = EXAMPLES[number]
    with closing(sqlite3.connect(shutil.copy(FILE, tmp_path / "example.sqlite"))) as db:
        cursor = db.execute(query)
        lines = ["|".join(column[0] for column in cursor.description)]
        lines += ["|".join("" if cell is None else str(cell) for cell in row) for row in cursor]
    assert lines == shown.splitlines()


def test_the_python_example_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copy(FILE, tmp_path / "cooks.sqlite")
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    exec(PYTHON[0], names)
    names["db"].close()  # type: ignore[attr-defined]
    assert capsys.readouterr().out.splitlines()[0] == "1780000000.0 15.0"
