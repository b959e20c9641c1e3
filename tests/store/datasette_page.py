"""Datasette's metadata, made from docs/reference/database.md: `python -m tests.store.datasette_page` writes it."""

from __future__ import annotations

import json
import re
from pathlib import Path

DOCS = Path(__file__).parents[2] / "docs" / "reference"
PAGE, METADATA = DOCS / "database.md", DOCS / "datasette.json"
TABLE = re.compile(r"^### (\w+)\n(.*?)(?=^### |^## )", re.MULTILINE | re.DOTALL)


def metadata_text() -> str:
    """Each table's first sentence, and of each column its meaning and unit."""
    tables = {name: _table(text) for name, text in TABLE.findall(PAGE.read_text(encoding="utf-8"))}
    told = {
        "title": "Emberdraft",
        "description": "Every cook and every trial. Moments are unix seconds, UTC; a value that is missing is null.",
        "databases": {"cooks": {"tables": tables}},
    }
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def _table(text: str) -> dict[str, object]:
    first = " ".join(text.strip().split("\n\n")[0].split())
    lines = [line for line in text.splitlines() if line.startswith("| ")][2:]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return {"description": first.replace("`", ""), "columns": {c[0]: _told(c) for c in cells}}


def _told(cells: list[str]) -> str:
    name, _, unit, meaning = cells
    return f"{meaning or name}, {unit}".replace("`", "")


if __name__ == "__main__":
    METADATA.write_text(metadata_text(), encoding="utf-8")
