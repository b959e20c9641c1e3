"""The Datasette metadata says what the database page says of the tables that there are; Datasette opens both."""

from __future__ import annotations

import json
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

from emberdraft.store import Store
from tests.store.datasette_page import METADATA, metadata_text
from tests.store.first_release import FILE


def test_the_metadata_is_what_the_database_page_says() -> None:
    assert METADATA.read_text(encoding="utf-8") == metadata_text(), "run: python -m tests.store.datasette_page"


def test_every_table_and_column_of_the_schema_is_described(path: Path) -> None:
    Store(path).close()
    told = json.loads(METADATA.read_text(encoding="utf-8"))["databases"]["cooks"]["tables"]
    with closing(sqlite3.connect(path)) as db:
        names = db.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '%sqlite_%'"
        ).fetchall()
        assert set(told) == {name for (name,) in names}
        for name in told:
            columns = {row[1] for row in db.execute(f"PRAGMA table_info({name})")}
            assert set(told[name]["columns"]) == columns and all(told[name]["columns"].values())


def test_datasette_opens_the_record_with_it(tmp_path: Path) -> None:
    """Asked as its own command asks itself: the rows of a table, and the page of it with our words for its columns."""
    shutil.copy(FILE, tmp_path / "cooks.db")
    Store(tmp_path / "cooks.db").close()
    ask = [sys.executable, "-m", "datasette", "serve", "-i", str(tmp_path / "cooks.db"), "-m", str(METADATA), "--get"]

    def got(address: str) -> str:
        return subprocess.run([*ask, address], capture_output=True, text=True, check=True, timeout=600).stdout

    rows = json.loads(got("/cooks/cook.json?_shape=array"))
    assert [row["name"] for row in rows] == ["Two chops"]
    page = got("/cooks/trial")
    assert "A comparison of pieces. It begins days before any cook" in page and "what is asked, words" in page
