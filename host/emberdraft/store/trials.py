"""Trials and tastings in the record. A trial is read whole, photos apart; each write is one transaction."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any

from emberdraft.store import cooks
from emberdraft.store.errors import StoreError
from emberdraft.store.pool import ReadingPool
from emberdraft.store.rows import Row, rows
from emberdraft.store.schema_trials import LARGEST_PHOTO_BYTES

_PHOTOLESS = "id, trial_id, trial_piece_id, at_s, words, photo_type, length(photo) AS photo_bytes"
# Parts of a trial, each with the query that reads it.
_PARTS = {
    "treatments": "SELECT * FROM treatment WHERE trial_id = ? ORDER BY place",
    "pieces": "SELECT * FROM trial_piece WHERE trial_id = ? ORDER BY id",
    "weighings": """SELECT weighing.* FROM weighing JOIN trial_piece ON trial_piece.id = trial_piece_id
                    WHERE trial_id = ? ORDER BY at_s, weighing.id""",
    "looks": f"SELECT {_PHOTOLESS} FROM look WHERE trial_id = ? ORDER BY at_s, id",
    "fridge": "SELECT * FROM fridge WHERE trial_id = ? ORDER BY at_s, id",
    "tastings": "SELECT * FROM tasting WHERE trial_id = ? ORDER BY id",
}
# Tables that may be written, with their columns.
COLUMNS = {
    "weighing": ("trial_piece_id", "at_s", "step", "mass_kg"),
    "look": ("trial_id", "trial_piece_id", "at_s", "words", "photo_type", "photo"),
    "fridge": ("trial_id", "at_s", "air_c"),
    "trial": ("name", "note", "end_s"),
    "trial_piece": ("cook_id", "letter"),
    "tasting": ("end_s",),
    "serving": ("taster", "at_s", "chosen", "counts"),
}


class TrialReader:
    """Reads trials; safe to share between threads."""

    def __init__(self, pool: ReadingPool) -> None:
        self._pool = pool

    def all(self) -> list[Row]:
        """Every trial without its parts, newest first, with how many pieces it has."""
        sql = """SELECT trial.*, (SELECT count(*) FROM trial_piece WHERE trial_id = trial.id) AS piece_count
                 FROM trial ORDER BY start_s DESC, id DESC"""
        with self._pool.take() as db:
            return rows(db, sql)

    def whole(self, trial_id: int) -> Row | None:
        """One trial with `treatments`, `pieces`, `weighings`, `looks` (no photos), `fridge`, `tastings`; or None."""
        with self._pool.take() as db:
            found = rows(db, "SELECT * FROM trial WHERE id = ?", (trial_id,))
            if not found:
                return None
            parts = {name: rows(db, sql, (trial_id,)) for name, sql in _PARTS.items()}
            for tasting in parts["tastings"]:
                tasting["servings"] = _servings(db, tasting["id"])
            return {**found[0], **parts}

    def tasting(self, tasting_id: int) -> Row | None:
        """One tasting with its `servings` in order; or None."""
        with self._pool.take() as db:
            found = rows(db, "SELECT * FROM tasting WHERE id = ?", (tasting_id,))
            return {**found[0], "servings": _servings(db, tasting_id)} if found else None

    def photo(self, look_id: int) -> tuple[str, bytes] | None:
        """Type and bytes of a look's photo; or None when it has none."""
        with self._pool.take() as db:
            row = db.execute("SELECT photo_type, photo FROM look WHERE id = ?", (look_id,)).fetchone()
            return None if row is None or row[1] is None else (row[0], bytes(row[1]))


class TrialStore(TrialReader):
    """Reads and writes trials. `write` opens one transaction."""

    def __init__(self, pool: ReadingPool, write: Callable[[], AbstractContextManager[sqlite3.Connection]]) -> None:
        super().__init__(pool)
        self._write = write

    def add_trial(self, values: Mapping[str, Any], treatments: Sequence[str], pieces: Sequence[tuple[str, str]]) -> int:
        """A trial with its treatments and (piece, block) pairs, all or none; its id."""
        with self._write() as db:
            trial_id = cooks.insert(db, "trial", values)
            for place, name in enumerate(treatments):
                cooks.insert(db, "treatment", {"trial_id": trial_id, "place": place, "name": name})
            for name, block in pieces:
                cooks.insert(db, "trial_piece", {"trial_id": trial_id, "name": name, "block": block})
            return trial_id

    def assign(self, trial_id: int, given: Mapping[int, int], at_s: float) -> None:
        """Piece id -> treatment id, once for a trial. Raises StoreError when it has been done."""
        with self._write() as db:
            cursor = db.execute("UPDATE trial SET assigned_s = ? WHERE id = ? AND assigned_s IS NULL", (at_s, trial_id))
            if cursor.rowcount == 0:
                raise StoreError(f"trial {trial_id}: chance has already said who gets what; it is not asked twice")
            for piece_id, treatment_id in given.items():
                cooks.update(db, "trial_piece", piece_id, {"treatment_id": treatment_id})

    def add_tasting(self, values: Mapping[str, Any], servings: Sequence[tuple[str, str]]) -> int:
        """A tasting with the (samples, codes) of each taster in turn; its id."""
        with self._write() as db:
            tasting_id = cooks.insert(db, "tasting", values)
            for place, (samples, codes) in enumerate(servings, start=1):
                row = {"tasting_id": tasting_id, "place": place, "samples": samples, "codes": codes}
                cooks.insert(db, "serving", row)
            return tasting_id

    def answer(self, serving_id: int, values: Mapping[str, Any]) -> None:
        """Keep a taster's answer, once. Raises StoreError when it was given before or the tasting is closed."""
        changes = cooks.only(COLUMNS["serving"], values, "serving")
        open_still = """SELECT 1 FROM serving JOIN tasting ON tasting.id = tasting_id
                        WHERE serving.id = ? AND at_s IS NULL AND end_s IS NULL"""
        with self._write() as db:
            if db.execute(open_still, (serving_id,)).fetchone() is None:
                raise StoreError("this answer was given before, or the tasting is closed; an answer is not changed")
            cooks.update(db, "serving", serving_id, changes)

    def add(self, table: str, **values: Any) -> int:
        """A row of COLUMNS[table]; its id. A photo above LARGEST_PHOTO_BYTES is refused."""
        photo = values.get("photo")
        if photo is not None and len(photo) > LARGEST_PHOTO_BYTES:
            raise StoreError(f"photo: {len(photo)} bytes; at most {LARGEST_PHOTO_BYTES} would be right")
        with self._write() as db:
            return cooks.insert(db, table, cooks.only(COLUMNS[table], values, table))

    def change(self, table: str, row_id: int, **changes: Any) -> None:
        """Change columns of COLUMNS[table]."""
        with self._write() as db:
            cooks.update(db, table, row_id, cooks.only(COLUMNS[table], changes, table))


def _servings(db: sqlite3.Connection, tasting_id: int) -> list[Row]:
    return rows(db, "SELECT * FROM serving WHERE tasting_id = ? ORDER BY place", (tasting_id,))
