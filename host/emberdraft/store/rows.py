"""Rows of a query as plain dicts."""

from __future__ import annotations

import sqlite3
from typing import Any

Row = dict[str, Any]


def rows(db: sqlite3.Connection, sql: str, values: Any = ()) -> list[Row]:
    """All rows of a query as dicts; none for a number that is too large to be in any row (an id somebody made up)."""
    try:
        cursor = db.execute(sql, values)
    except OverflowError:
        return []
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]
