"""The one writer of a database. Everything it can read, `Reader` can read beside it."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from emberdraft.store import bring, cooks, lost, raw, records
from emberdraft.store.errors import StoreError, plainly
from emberdraft.store.lock import WriterLock
from emberdraft.store.open import open_writing
from emberdraft.store.read import Reader, state_key
from emberdraft.store.trials import TrialStore
from emberdraft.store.watch import FileWatch, check_log


class Store(Reader):
    """A database open for writing; safe to share between threads, writes go one after another.

    When a method returns, its change is on the disk. All moments are unix seconds UTC.
    """

    trials: TrialStore

    def __init__(self, path: str | Path) -> None:
        path = Path(path).resolve()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"{path.parent} cannot be made ({error.strerror}). Name another file with --db."
            ) from error
        self._writer_lock = WriterLock(path)
        self._writer_lock.take()
        try:
            check_log(path)
            self._db = open_writing(path)
            super().__init__(path)
            self._watch = FileWatch(path, self._writer_lock.path, self._db)
        except BaseException:
            self._writer_lock.release()
            raise
        self._writing = threading.RLock()
        self.trials = TrialStore(self._pool, self._write)
        self._closed = False

    def close(self) -> None:
        """Close the file and let another program write to it."""
        super().close()
        with self._writing:
            if not self._closed:
                self._watch.last_look()
            self._closed = True
            self._db.close()
            self._writer_lock.release()

    @property
    def trouble(self) -> str:
        """'' or what has become of the file: then nothing is written any more."""
        return self._watch.trouble

    def look_after(self) -> str:
        """Look at the file as it lies on the disk, if it is time; `trouble`. Call it every second or so."""
        if not self._closed and not self.trouble and self._watch.due():
            self._watch.look(self._writing)
        return self.trouble

    # Boards and what they send

    def note_boot(self, cooker: str, boot: str, offset_s: float) -> None:
        """Board uptime 0 of this boot was at `offset_s`."""
        with self._write() as db:
            records.note_boot(db, cooker, boot, offset_s)

    def boot_offset(self, cooker: str, boot: str) -> float | None:
        """Unix seconds at uptime 0 of this boot, or None when it has not been noted."""
        with self._pool.take() as db:
            return records.boot_offset(db, cooker, boot)

    def add_records(self, cooker: str, boot: str, rows: Sequence[Mapping[str, Any]]) -> int:
        """Store readings and events (each with `at_s`), all or none; how many were new. A repeat is harmless.

        ValueError names a record that can never be stored; StoreError says that now it could not be.
        """
        with self._write() as db:
            new = records.add(db, cooker, boot, rows)
            self._watch.note(cooker, boot, records.mark_of(db, cooker, boot))
            return new

    def mark_of(self, cooker: str, boot: str) -> int:
        """The lowest seq of this boot that is neither stored nor settled: the board may forget all below."""
        with self._pool.take() as db:
            return records.mark_of(db, cooker, boot)

    def begin_boot_at(self, cooker: str, boot: str, oldest: int) -> None:
        """The board holds nothing below `oldest`; taken only once for each boot."""
        with self._write() as db:
            records.begin_at(db, cooker, boot, oldest)

    def settle_lost(self, cooker: str, boot: str, first: int, last: int) -> None:
        """Records `first` to `last`, both included, that are not here will never come."""
        with self._write() as db:
            records.settle_lost(db, cooker, boot, first, last)

    def close_earlier(self, cooker: str, boot: str, held: Mapping[str, int]) -> list[tuple[str, int]]:
        """Starts before `boot` of which nothing more is to come, once each: see store/lost.py."""
        with self._write() as db:
            return list(lost.close_earlier(db, cooker, boot, held))

    def add_raw(self, cooker: str, boot: str, rows: Sequence[Mapping[str, Any]]) -> int:
        """Keep rows that cannot be read, as they came; how many found no room and count as lost. See store/raw.py."""
        with self._write() as db:
            return raw.add(db, cooker, boot, rows)

    def take_over_raw(self, row: Mapping[str, Any], record: Mapping[str, Any]) -> None:
        """A row of `raw_page` that reads now moves into its table; ValueError when it cannot be stored."""
        with self._write() as db:
            raw.take_over(db, row, record)

    # Orders

    def next_order_n(self, cooker: str, above: int = 0) -> int:
        """A number for the next order, above all given before, also over a restart, and above another host's."""
        with self._write() as db:
            return cooks.next_order_n(db, cooker, above)

    def add_order(
        self, cooker: str, n: int, boot: str, at_s: float, name: str, args: Mapping[str, Any], author: str
    ) -> None:
        """Keep an order as it is sent."""
        with self._write() as db:
            cooks.add_order(db, cooker, n, args, {"boot": boot, "at_s": at_s, "name": name, "author": author})

    def set_reply(self, cooker: str, n: int, code: str, text: str) -> None:
        """Keep the board's answer: '' accepted, else why not."""
        with self._write() as db:
            cooks.set_reply(db, cooker, n, code, text)

    # Cooks

    def add_plan(self, text: str, name: str) -> int:
        """Keep a plan's text; the same name and text again give the same id."""
        with self._write() as db:
            return cooks.add_plan(db, text, name)

    def begin_cook(self, cooker: str, name: str, plan_id: int | None, at_s: float, invented: bool = False) -> int:
        """Begin a cook; `invented` says that it is simulated. A cooker has one open cook at a time."""
        with self._write() as db:
            return cooks.begin_cook(db, cooker, name, plan_id, at_s, invented)

    def bring_cook(
        self, cook: Mapping[str, Any], readings: Iterable[Sequence[Any]], parts: Mapping[str, list[Mapping[str, Any]]]
    ) -> int:
        """A whole cook from elsewhere, all or nothing: see `store/bring.py`. Its number here."""
        with self._write() as db:
            return bring.bring(db, cook, readings, parts)

    def end_cook(self, cook_id: int, at_s: float, how: str) -> None:
        """End a cook."""
        with self._write() as db:
            cooks.update(db, "cook", cook_id, {"end_s": at_s, "how": how})

    def break_off(self, cooker: str, how: str) -> int | None:
        """End a cook that was left open, at its last reading: a simulation that nobody can go on with. Its id."""
        with self._write() as db:
            return cooks.break_off(db, cooker, how)

    def update_cook(self, cook_id: int, **changes: Any) -> None:
        """Change a cook's `name`, `note` or `plan_id`: a plan may be changed while it is carried out."""
        with self._write() as db:
            cooks.update(db, "cook", cook_id, cooks.only(("name", "note", "plan_id"), changes, "cook"))

    def add_phase(self, cook_id: int, at_s: float, phase: str, target_c: float | None) -> int:
        """A phase begins."""
        with self._write() as db:
            return cooks.insert(db, "phase", {"cook_id": cook_id, "at_s": at_s, "phase": phase, "target_c": target_c})

    def add_piece(
        self, cook_id: int, letter: str, name: str, probe: int | None = None, pull_c: float | None = None, **more: Any
    ) -> int:
        """Add a food item; `probe` is its place in `core_c`, from 0. `more`: cooks.PIECE_COLUMNS."""
        values = {"letter": letter, "name": name, "probe": probe, "pull_c": pull_c}
        values |= cooks.only(cooks.PIECE_COLUMNS, more, "piece")
        with self._write() as db:
            return cooks.insert(db, "piece", {"cook_id": cook_id, **values})

    def update_piece(self, piece_id: int, **changes: Any) -> None:
        """Change a food item: cooks.PIECE_CHANGES."""
        with self._write() as db:
            cooks.update(db, "piece", piece_id, cooks.only(cooks.PIECE_CHANGES, changes, "piece"))

    def add_mark(
        self, cook_id: int, at_s: float, kind: str, value: float | None = None, text: str = "", author: str = "person"
    ) -> int:
        """Keep what a person noted; the mark's id."""
        values = {"at_s": at_s, "kind": kind, "value": value, "text": text, "author": author}
        with self._write() as db:
            return cooks.insert(db, "mark", {"cook_id": cook_id, **values})

    def undo_mark(self, mark_id: int) -> None:
        """Take a mark back; it stays in the file and is shown nowhere."""
        with self._write() as db:
            cooks.update(db, "mark", mark_id, {"undone": 1})

    # Alarms, tuning, state

    def raise_alarm(
        self, cooker: str, cook_id: int | None, at_s: float, alert: str, kind: str, state: str, **more: Any
    ) -> int:
        """An alarm begins; `more`: cooks.ALARM_COLUMNS."""
        values = {"cooker": cooker, "cook_id": cook_id, "at_s": at_s, "alert": alert, "kind": kind, "state": state}
        with self._write() as db:
            return cooks.insert(db, "alarm", {**values, **cooks.only(cooks.ALARM_COLUMNS, more, "alarm")})

    def update_alarm(self, alarm_id: int, **changes: Any) -> None:
        """Change an alarm: cooks.ALARM_CHANGES."""
        with self._write() as db:
            cooks.update(db, "alarm", alarm_id, cooks.only(cooks.ALARM_CHANGES, changes, "alarm"))

    def add_tuning(self, cooker: str, at_s: float, gains: Mapping[str, Any], order_n: int | None = None) -> int:
        """Gains and learnt constants a board reports in force."""
        with self._write() as db:
            return cooks.add_tuning(db, cooker, at_s, gains, order_n)

    def save_state(self, cook_id: int, json_text: str) -> None:
        """Keep the conductor's state of a cook, over what was there."""
        with self._write() as db:
            cooks.save(db, state_key(cook_id), json_text)

    def keep(self, key: str, text: str) -> None:
        """Keep a text under a key, over what was there: what the host must remember besides its cooks."""
        with self._write() as db:
            cooks.save(db, key, text)

    @contextmanager
    def _write(self) -> Iterator[sqlite3.Connection]:
        """One transaction: when the block ends it is on the disk; when it fails nothing has changed."""
        with self._writing, plainly(self.path):
            if self._closed:
                raise StoreError(f"{self.path} has been closed.")
            self._watch.check_place()
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
                self._db.execute("COMMIT")
                self._watch.committed()
            except BaseException:
                if self._db.in_transaction:
                    self._db.rollback()
                raise
