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


class StoreDamaged(StoreError):  # noqa: N818 - reads as a sentence: except StoreBusy
    """The file is not what was written, or not there any more; `way_on` says what a person can do."""

    def __init__(self, what: str, way_on: str = "") -> None:
        super().__init__(f"{' '.join(what.split())}. {way_on or MEND}")  # SQLite quotes whole tables


MEND = "Stop the host and run `emberdraft mend`: it sets the file aside and takes over what still reads."

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
        "{path} is not a database. Name a file that Emberdraft wrote, or one that does not exist yet. If it was one "
        "and is damaged, `emberdraft mend` takes over what still reads.",
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


# What Python's sqlite3 says of a text that is none; it has no number of its own.
NO_TEXT = "Could not decode to UTF-8"


@contextmanager
def plainly(path: Path) -> Iterator[None]:
    """Turn SQLite's errors about the file into sentences; a mistake in our own SQL stays as it is."""
    try:
        yield
    except UnicodeDecodeError as error:
        raise StoreDamaged(f"{path} is damaged ({error})") from error
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        if code == sqlite3.SQLITE_CORRUPT or str(error).startswith(NO_TEXT):
            raise StoreDamaged(f"{path} is damaged ({str(error)[:100]})") from error
        known = _SENTENCES.get(code)
        if known is None:
            raise
        kind, sentence = known
        raise kind(sentence.format(path=path, error=error)) from error
