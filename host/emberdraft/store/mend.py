"""A damaged record is set aside, and a new one takes over what still reads. The old files are not changed."""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
import struct
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from emberdraft.store import wal
from emberdraft.store.errors import StoreError
from emberdraft.store.lock import WriterLock
from emberdraft.store.open import check_whole, legible, open_writing
from emberdraft.store.salvage import salvage
from emberdraft.store.watch import check_log

MAGIC = b"SQLite format 3\x00"
ENDS = ("", "-wal", "-wal.kept", "-shm")


@dataclass(frozen=True)
class Mended:
    """`taken`: rows by table. `aside`: where the old file lies now."""

    taken: dict[str, int]
    aside: Path


def mend(path: Path) -> Mended | None:
    """Set a damaged database aside and make a new one of what reads; None if nothing is wrong with it.

    StoreError if it is in use or not there. The new file takes its place only when it is whole.
    """
    path = path.resolve()
    if not path.is_file():
        raise StoreError(f"{path}: no such database; there is nothing to mend.")
    lock = WriterLock(path)
    lock.take()
    try:
        return None if _sound(path) else _mend(path)
    finally:
        lock.release()


def aside_files(path: Path) -> list[Path]:
    """Everything that was ever set aside or rescued beside a database."""
    return [*path.parent.glob(f"{path.name}.damaged-*"), *path.parent.glob(f"{path.name}.rescued-*")]


def _sound(path: Path) -> bool:
    """Looked at in a copy: opening the file itself would throw away what is behind a damage."""
    try:
        check_log(path)
        with _copied(path) as copy, legible(copy), closing(sqlite3.connect(copy)) as db:
            check_whole(db, copy)
    except StoreError:
        return False
    return True


def _mend(path: Path) -> Mended:
    new = path.with_name(path.name + ".mending")
    for end in ENDS:
        new.with_name(new.name + end).unlink(missing_ok=True)
    with _copied(path) as copy:
        _make_legible(copy)
        with closing(sqlite3.connect(copy)) as old, closing(open_writing(new)) as db:
            taken = salvage(old, db)
            db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    aside = path.with_name(f"{path.name}.damaged-{time.strftime('%Y%m%d-%H%M%S', time.gmtime())}")
    for end in ENDS:
        with contextlib.suppress(FileNotFoundError):
            path.with_name(path.name + end).rename(aside.with_name(aside.name + end))
    new.rename(path)
    return Mended(taken, aside)


@contextlib.contextmanager
def _copied(path: Path) -> Iterator[Path]:
    """A copy with its log, in a folder that goes again; a log that was kept because of damage is the log."""
    with tempfile.TemporaryDirectory(prefix="mend-", dir=path.parent) as folder:
        copy = Path(folder) / "copy.sqlite"
        shutil.copyfile(path, copy)
        log = wal.kept(path) if wal.kept(path).exists() else wal.log_of(path)
        if log.exists():
            shutil.copyfile(log, wal.log_of(copy))
        yield copy


def _make_legible(copy: Path) -> None:
    """The copy's log to its end, and a file head that SQLite knows."""
    log = wal.log_of(copy)
    if log.exists() and len(raw := log.read_bytes()) > wal.HEAD:
        log.write_bytes(wal.mended(raw))
    with copy.open("r+b") as file:
        head = file.read(100)
        if len(head) == 100 and not _head_good(head):
            file.seek(0)
            file.write(_head(head, copy.stat().st_size // wal.PAGE_SIZE))


def _head_good(head: bytes) -> bool:
    return head[:16] == MAGIC and struct.unpack_from(">H", head, 16)[0] == wal.PAGE_SIZE and head[18:24] == _FIXED


# https://sqlite.org/fileformat2.html#the_database_header: log, log, no reserve, the payload fractions.
_FIXED = bytes((2, 2, 0, 64, 32, 32))


def _head(head: bytes, pages: int) -> bytes:
    """The head as every file made here has it; the counters are made to agree."""
    made = bytearray(head)
    made[:16], made[18:24] = MAGIC, _FIXED
    struct.pack_into(">H", made, 16, wal.PAGE_SIZE)
    struct.pack_into(">3I", made, 24, 1, pages, 0)  # change counter, pages, no free page
    struct.pack_into(">I", made, 36, 0)
    struct.pack_into(">2I", made, 44, 4, 0)  # schema format
    struct.pack_into(">2I", made, 52, 0, 1)  # no vacuum by itself, UTF-8
    struct.pack_into(">2I", made, 92, 1, sqlite3.sqlite_version_info[0])
    return bytes(made)
