"""Reading a database, beside a daemon that writes to it or without one. All rows are plain dicts."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import closing
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from emberdraft.errors import UserError
from emberdraft.store import gaps as gap_finder
from emberdraft.store import open as opening
from emberdraft.store import raw, records, strip
from emberdraft.store.lock import WriterLock
from emberdraft.store.pool import ReadingPool
from emberdraft.store.rows import Row, rows
from emberdraft.store.span import IN_SPAN, ended, span_of
from emberdraft.store.trials import TrialReader
from emberdraft.store.watch import check_log

Columns = dict[str, list[Any]]

_IN_COOK = f"{IN_SPAN} ORDER BY at_s"
_IN_TIME = "cooker = :cooker AND at_s >= :start_s AND at_s <= :end_s ORDER BY at_s"


class Reader:
    """A database open for reading; safe to share between threads."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        if not self.path.is_file():
            raise UserError(f"{self.path}: no such database. Name one with --db, or record a cook first.")
        self._bring_up_to_date()
        self._pool = ReadingPool(self.path)
        self.trials = TrialReader(self._pool)

    def close(self) -> None:
        """Close the file."""
        self._pool.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def cooks(self, cooker: str | None = None) -> list[Row]:
        """All cooks, of one cooker or of every one, newest first."""
        with self._pool.take() as db:
            return rows(
                db, "SELECT * FROM cook WHERE :cooker IS NULL OR cooker = :cooker ORDER BY start_s DESC, id DESC",
                {"cooker": cooker},
            )  # fmt: skip

    def cook(self, cook_id: int) -> Row | None:
        """One cook, or None when there is no such cook."""
        return next(iter(self._of_cook("SELECT * FROM cook WHERE id = ?", cook_id)), None)

    def plan(self, plan_id: int) -> Row | None:
        """A plan's name and text as it was when a cook began, or None."""
        return next(iter(self._of_cook("SELECT * FROM plan WHERE id = ?", plan_id)), None)

    def open_cook(self, cooker: str) -> Row | None:
        """The cook that is going on, or None."""
        with self._pool.take() as db:
            found = rows(db, "SELECT * FROM cook WHERE cooker = ? AND end_s IS NULL", (cooker,))
            return found[0] if found else None

    def cookers(self) -> list[str]:
        """Names of all cookers that have cooked or been heard."""
        with self._pool.take() as db:
            found = db.execute("SELECT cooker FROM boot UNION SELECT cooker FROM cook ORDER BY cooker")
            return [cooker for (cooker,) in found]

    def pieces(self, cook_id: int) -> list[Row]:
        """The food items of a cook, by letter."""
        return self._of_cook("SELECT * FROM piece WHERE cook_id = ? ORDER BY letter", cook_id)

    def marks(self, cook_id: int) -> list[Row]:
        """What a person noted, in order of time; without what was taken back."""
        return self._of_cook("SELECT * FROM mark WHERE cook_id = ? AND NOT undone ORDER BY at_s, id", cook_id)

    def phases(self, cook_id: int) -> list[Row]:
        """Phases in order, each from `at_s` to `end_s` (None: it is the one in force)."""
        sql = """SELECT phase.*,
                 coalesce(lead(at_s) OVER (ORDER BY at_s, id), (SELECT end_s FROM cook WHERE id = cook_id)) AS end_s
                 FROM phase WHERE cook_id = ? ORDER BY at_s, id"""
        return self._of_cook(sql, cook_id)

    def events(self, cook_id: int) -> list[Row]:
        """What the board did or saw during a cook."""
        return self._during(f"SELECT * FROM event WHERE {_IN_COOK}, seq", cook_id)

    def alarms(self, cook_id: int) -> list[Row]:
        """Alarms raised during a cook."""
        return self._during(
            f"SELECT * FROM alarm WHERE (cook_id IS NULL OR cook_id = :cook_id) AND {_IN_TIME}, id", cook_id
        )

    def orders(self, cook_id: int) -> list[Row]:
        """Orders sent during a cook; `args` decoded."""
        return _decoded(self._during(f"SELECT * FROM order_ WHERE {_IN_COOK}, n", cook_id), "args")

    def tunings(self, cook_id: int) -> list[Row]:
        """Gains in force: those the cook began with, then each change; `gains` decoded."""
        sql = """SELECT * FROM tuning WHERE cooker = :cooker AND at_s <= :end_s AND at_s >= coalesce(
                 (SELECT max(at_s) FROM tuning WHERE cooker = :cooker AND at_s <= :start_s), :start_s)
                 ORDER BY at_s, id"""
        return _decoded(self._during(sql, cook_id), "gains")

    def lost(self, cook_id: int) -> list[Row]:
        """Records that boards had to drop, of the boots that this cook's readings are of."""
        sql = f"""SELECT DISTINCT lost.* FROM lost WHERE cooker = :cooker AND boot IN (
                  SELECT DISTINCT boot FROM reading WHERE {IN_SPAN}) ORDER BY boot, first_seq"""
        return self._during(sql, cook_id)

    def tunings_at(self, cooker: str, most: int = 50) -> list[Row]:
        """What the board of a cooker reported in force, the newest first; `gains` decoded."""
        sql = "SELECT * FROM tuning WHERE cooker = ? ORDER BY at_s DESC, id DESC LIMIT ?"
        with self._pool.take() as db:
            return _decoded(rows(db, sql, (cooker, most)), "gains")

    def readings(
        self,
        cook_id: int,
        start_s: float | None = None,
        end_s: float | None = None,
        names: Sequence[str] = records.READING_COLUMNS,
    ) -> Columns:
        """Every reading of a cook, or of a part of it, as columns `names`; empty lists when there are none."""
        unknown = [name for name in names if name not in records.READING_COLUMNS]
        if unknown:
            raise ValueError(f"a reading has no {unknown[0]!r}; it has {', '.join(records.READING_COLUMNS)}")
        sql = f"SELECT {', '.join(names)} FROM reading WHERE {_IN_COOK}, seq"
        with self._pool.take() as db:
            found = db.execute(sql, span_of(db, cook_id, start_s, end_s)).fetchall()
        columns = zip(*found, strict=True) if found else ((),) * len(names)
        return {name: list(column) for name, column in zip(names, columns, strict=True)}

    def each_reading(self, cook_id: int) -> Iterator[tuple[Any, ...]]:
        """The readings one by one in the order of records.READING_COLUMNS, however many they are."""
        sql = f"SELECT {', '.join(records.READING_COLUMNS)} FROM reading WHERE {_IN_COOK}, seq"
        with self._pool.take() as db:
            yield from db.execute(sql, span_of(db, cook_id, None, None))

    def strip(
        self, cook_id: int, start_s: float | None = None, end_s: float | None = None, points: int = 2000
    ) -> Columns:
        """Traces thinned for drawing, every peak kept: see `store/strip.py`."""
        with self._pool.take() as db:
            return strip.strip(db, ended(db, span_of(db, cook_id, start_s, end_s)), points)

    def gaps(self, cook_id: int) -> list[Row]:
        """Stretches of a cook without readings: `start_s`, `end_s`, `why` (reboot, lost, unread, missing)."""
        with self._pool.take() as db:
            return gap_finder.gaps(db, span_of(db, cook_id, None, None))

    def last_reading(self, cooker: str) -> Row | None:
        """The newest reading of the newest start of a cooker's board, or None."""
        with self._pool.take() as db:
            # The plus keeps SQLite from sorting all starts there ever were: from the newest back, it ends at once.
            for (boot,) in db.execute("SELECT boot FROM boot WHERE +cooker = ? ORDER BY id DESC", (cooker,)):
                newest = "SELECT * FROM reading WHERE cooker = ? AND boot = ? ORDER BY seq DESC LIMIT 1"
                for row in rows(db, newest, (cooker, boot)):
                    return row
            return None

    def counts(self) -> dict[str, int]:
        """How many rows each table has."""
        tables = (
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '\\_%' ESCAPE '\\' ORDER BY name"
        )
        with self._pool.take() as db:
            names = [name for (name,) in db.execute(tables).fetchall() if not name.startswith("sqlite_")]
            return {name: db.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}

    def raw_kept(self, cooker: str) -> Row:
        """Rows of a cooker that could not be read and are kept as they came: `rows`, `bytes`, the last `reason`."""
        with self._pool.take() as db:
            return raw.kept(db, cooker)

    def raw_page(self, after_id: int = 0) -> list[Row]:
        """Some of these rows, of every cooker, above an id; empty at the end."""
        with self._pool.take() as db:
            return raw.page(db, after_id)

    def about(self) -> Row:
        """The file itself: path, size_bytes (with what is not yet merged), release and last step of its tables."""
        beside = self.path.with_name(self.path.name + "-wal")
        size = self.path.stat().st_size + (beside.stat().st_size if beside.exists() else 0)
        with self._pool.take() as db:
            steps, release = opening.applied_steps(db), opening.release_of(db)
        return {"path": str(self.path), "size_bytes": size, "release": release, "step": steps[-1]}

    def load_state(self, cook_id: int) -> str | None:
        """What `save_state` kept for this cook, or None."""
        return self.kept(state_key(cook_id))

    def kept(self, key: str) -> str | None:
        """What `keep` kept under this key, or None."""
        with self._pool.take() as db:
            row = db.execute("SELECT value FROM state WHERE key = ?", (key,)).fetchone()
            return row[0] if row else None

    def _of_cook(self, sql: str, cook_id: int) -> list[Row]:
        with self._pool.take() as db:
            return rows(db, sql, (cook_id,))

    def _during(self, sql: str, cook_id: int) -> list[Row]:
        with self._pool.take() as db:
            return rows(db, sql, span_of(db, cook_id, None, None))

    def _bring_up_to_date(self) -> None:
        lock = WriterLock(self.path)
        if lock.free():
            check_log(self.path)
        with opening.legible(self.path), closing(opening.connect(self.path, writing=False)) as db:
            opening.check_ours(db, self.path)
            old = opening.pending(db)
        if old:
            lock.take()
            try:
                opening.open_writing(self.path).close()
            finally:
                lock.release()


def state_key(cook_id: int) -> str:
    """Where the conductor's state of a cook is kept."""
    return f"conductor {cook_id}"


def _decoded(found: list[Row], name: str) -> list[Row]:
    for row in found:
        row[name] = json.loads(row[name])
    return found
