"""What can go wrong with the store: each is one sentence for a person, and says what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from emberdraft.errors import UserError


class StoreError(UserError):
    """The store could not do it; nothing was changed."""


class StoreBusy(StoreError):  # noqa: N818 - reads as a sentence: except StoreBusy
    """Another program holds the database locked; try again, the rows are not stored."""


class StoreFull(StoreError):  # noqa: N818 - reads as a sentence: except StoreBusy
    """The disk, or the database's own size limit, is full; the rows are not stored."""


class StoreTaken(StoreError):  # noqa: N818 - reads as a sentence: except StoreBusy
    """Another Emberdraft already writes to this database."""


class StoreNewer(StoreError):  # noqa: N818 - reads as a sentence: except StoreBusy
    """The database was written by a newer release than this one."""


_SENTENCES: dict[int, tuple[type[StoreError], str]] = {
    sqlite3.SQLITE_BUSY: (
        StoreBusy,
        "{path} is locked by another program. Close what has it open for writing; readings wait on the board.",
    ),
    sqlite3.SQLITE_LOCKED: (
        StoreBusy,
        "{path} is locked inside this program. Try again; readings wait on the board.",
    ),
    sqlite3.SQLITE_FULL: (
        StoreFull,
        "{path} cannot grow: the disk is full. Free some space; readings wait on the board.",
    ),
    sqlite3.SQLITE_IOERR: (
        StoreFull,
        "{path} could not be written ({error}). Check the disk and its free space; readings wait on the board.",
    ),
    sqlite3.SQLITE_NOTADB: (
        StoreError,
        "{path} is not a database. Name a file that Emberdraft wrote, or one that does not exist yet.",
    ),
    sqlite3.SQLITE_CORRUPT: (
        StoreError,
        "{path} is damaged ({error}). Keep a copy; `sqlite3 FILE .recover` reads what can still be read.",
    ),
    sqlite3.SQLITE_READONLY: (
        StoreError,
        "{path} may not be written by this user. Change its owner or its permissions, or name another file.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        StoreError,
        "{path} cannot be opened. Check that its folder exists and may be written by this user.",
    ),
}


@contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Turn SQLite's errors about the file into sentences; a mistake in our own SQL stays as it is."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", None)
        known = None if code is None else _SENTENCES.get(code & 0xFF)
        if known is None:
            raise
        kind, sentence = known
        raise kind(sentence.format(path=path, error=error)) from error
