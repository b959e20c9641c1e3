"""Reading connections: each is used by one thread at a time, and as many are open as were ever needed at once."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from emberdraft.store.errors import StoreError, plainly
from emberdraft.store.open import connect


class ReadingPool:
    """Hands out reading connections to any thread; a reader never waits for the writer (WAL)."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._free: list[sqlite3.Connection] = []
        self._lock = threading.Lock()
        self._closed = False

    @contextmanager
    def take(self) -> Iterator[sqlite3.Connection]:
        """A connection for the length of the block; all reads in one block see the same moment."""
        db = self._free_or_new()
        try:
            with plainly(self.path):
                db.execute("BEGIN")
                yield db
        finally:
            if db.in_transaction:
                db.rollback()
            self._give_back(db)

    def close(self) -> None:
        """Close what is free now; what is in use closes when it comes back."""
        with self._lock:
            self._closed = True
            free, self._free = self._free, []
        for db in free:
            db.close()

    def _free_or_new(self) -> sqlite3.Connection:
        with self._lock:
            if self._closed:
                raise StoreError(f"{self.path} has been closed.")
            if self._free:
                return self._free.pop()
        with plainly(self.path):
            return connect(self.path, writing=False)

    def _give_back(self, db: sqlite3.Connection) -> None:
        with self._lock:
            if not self._closed:
                self._free.append(db)
                return
        db.close()
