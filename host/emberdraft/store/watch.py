"""Is the file that is being written still the file that lies there, and does it still hold what was committed?

A database that was moved, written over or damaged goes on taking commits without a word: SQLite has it open and looks
at nothing again. So each write asks whether the names still lead to the open files, and a look every `LOOK_S` reads
the log and the file afresh. The log is merged into the file only after it was found sound: a damaged frame would become
a damaged page for good. The first trouble is the last: nothing is written after it.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import threading
import time
from contextlib import closing
from pathlib import Path

from emberdraft.store import wal
from emberdraft.store.errors import StoreBusy, StoreDamaged, StoreError, plainly
from emberdraft.store.open import check_whole, connect
from emberdraft.store.records import mark_of

LOOK_S = 20.0
QUIET = 20.0  # a look into the whole file takes at most one part in this of the time
MERGE_COMMITS = 250  # and the log is merged after so many, if no look has done it

Identity = tuple[int, int]


class FileWatch:
    """`trouble` is '' or the sentence that says what has become of the file. `db` is the connection that writes."""

    def __init__(self, path: Path, lock_path: Path, db: sqlite3.Connection) -> None:
        self.path = path
        self.trouble = ""
        self._db = db
        db.execute("SELECT count(*) FROM sqlite_master").fetchone()  # SQLite opens the log with the first read
        self._files = {each: _identity(each) for each in (path, wal.log_of(path), lock_path)}
        self._marks: dict[tuple[str, str], int] = {}  # of each start that was written to
        self._round: tuple[bytes, int] = (b"", 0)  # salt of the log, and how many frames it had
        self._commits = 0  # since the log was merged
        self._looked_s = time.monotonic()
        self._took_s = 0.0

    # ---- for whoever writes, one at a time ---------------------------------------------------

    def check_place(self) -> None:
        """StoreDamaged if a name leads elsewhere now, or there was trouble before. Cheap: asked before each write."""
        for each, known in self._files.items():
            if not self.trouble and (now := _identity(each)) != known:
                what = "been replaced by another file" if now else "been removed"
                self._stop(StoreDamaged(f"{each} has {what} while it was in use", self._rescue()))
        if self.trouble:
            raise StoreError(self.trouble)

    def note(self, cooker: str, boot: str, mark: int) -> None:
        """The mark of this start is about to be committed: what is below it must be there for ever."""
        self._marks[cooker, boot] = mark

    def committed(self) -> None:
        """Something is on the disk."""
        self._commits += 1
        if self._commits >= MERGE_COMMITS:
            with contextlib.suppress(StoreError):  # it is in `trouble`; what was committed is committed
                self._look_at_log()

    def last_look(self) -> None:
        """The file is about to be closed, and its log to be merged into it."""
        with contextlib.suppress(StoreError):
            self._look_at_log()

    # ---- a look now and then, from any thread ------------------------------------------------

    def due(self) -> bool:
        """Whether it is time for a look."""
        return time.monotonic() - self._looked_s >= max(LOOK_S, QUIET * self._took_s)

    def look(self, writing: threading.RLock) -> None:
        """Log and file as they lie on the disk; `writing` is held by whoever commits."""
        began_s = time.monotonic()
        with contextlib.suppress(StoreError):
            with writing:
                self.check_place()
                self._look_at_log()
                marks = dict(self._marks)
            self._look_into_file(marks)
        self._looked_s = time.monotonic()
        self._took_s = self._looked_s - began_s

    def _look_at_log(self) -> None:
        log = wal.read(self.path)
        if log is not None:  # else another program may have merged it, and emptied it
            salt, count = self._round
            shorter = log.salt == salt and len(log.frames) < count
            if not log.head_good or log.broken() >= 0 or shorter:
                wal.keep(self.path)
                self._stop(StoreDamaged(f"{wal.log_of(self.path)} has been damaged while it was in use"))
            self._round = log.salt, len(log.frames)
        if self._commits and not self._db.in_transaction:
            self._commits = 0
            with contextlib.suppress(sqlite3.Error):  # a full disk: the log holds it all, and the next look tries again
                self._db.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()

    def _look_into_file(self, marks: dict[tuple[str, str], int]) -> None:
        """A connection of its own remembers nothing: it reads from the disk."""
        try:
            with plainly(self.path), closing(connect(self.path, writing=False)) as db:
                for (cooker, boot), mark in marks.items():
                    if mark_of(db, cooker, boot) < mark:
                        raise StoreDamaged(f"{self.path} has been written over: rows that were recorded are gone")
                check_whole(db, self.path)
        except StoreBusy:
            return  # another program is in the way for a moment: the next look will tell
        except StoreError as error:
            self._stop(error)

    def _stop(self, error: StoreError) -> None:
        self.trouble = str(error)
        raise error

    def _rescue(self) -> str:
        """The open connection still holds what the name has lost: all of it into a file beside, for a person."""
        beside = self.path.with_name(f"{self.path.name}.rescued-{time.strftime('%Y%m%d-%H%M%S', time.gmtime())}")
        try:
            self._db.execute("VACUUM INTO ?", (str(beside),))
        except sqlite3.Error as error:
            return f"What was recorded in it could not be saved elsewhere ({error}); stop the host and look for a copy."
        return f"All that was recorded is in {beside.name}: stop the host, put that file in its place, start it again."


def check_log(path: Path) -> None:
    """Before a file is opened that nobody writes to: StoreDamaged if its log ends before its last commits.

    Opening it would throw away what is behind the damage, and say nothing.
    """
    if wal.kept(path).exists():
        raise StoreDamaged(f"{wal.log_of(path)} was damaged when {path.name} was last in use")
    log = wal.read(path)
    behind = 0 if log is None else log.commits_behind()
    if behind > wal.TORN:
        raise StoreDamaged(f"{wal.log_of(path)} is damaged; {behind} commits stand behind the damage")


def _identity(path: Path) -> Identity | None:
    """Which file a name leads to, or None."""
    try:
        at = os.stat(path)
    except OSError:
        return None
    return at.st_dev, at.st_ino
