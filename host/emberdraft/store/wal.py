"""The write-ahead log beside a database, looked at without SQLite: is what was committed still there as it was written?

SQLite itself reads a log up to the first frame whose sum is wrong and takes that for its end: rows behind a flipped bit
are gone, and its integrity check says ok. Layout and sums: https://sqlite.org/fileformat2.html#the_write_ahead_log.
Never opens the database itself: closing it again would drop the locks of every connection of this process.
"""

from __future__ import annotations

import contextlib
import os
import struct
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

HEAD, FRAME_HEAD = 32, 24
LITTLE, BIG = 0x377F0682, 0x377F0683
PAGE_SIZE = 4096  # of every file made here; used where the log's head cannot be believed
BULK = 1000  # frames summed up at once
TORN = 1  # commits that a power cut may leave unfinished: each is synced before the next begins


class Frame(NamedTuple):
    """One page as it was committed: place in the log, which page, pages of the file if a commit ends here, sound."""

    place: int
    page: int
    commit: int
    good: bool


class Log(NamedTuple):
    """Frames of the log's present round; `head_good` is False when its head is damaged."""

    head_good: bool
    salt: bytes
    page_size: int
    frames: list[Frame]

    def broken(self) -> int:
        """Place in `frames` of the first that SQLite would stop at, though others of the same round follow or it
        stands at the end; -1: none."""
        for k, frame in enumerate(self.frames):
            if not frame.good or frame.place != k:
                return k
        return -1

    def commits_behind(self) -> int:
        """Commits that cannot be read any more because of damage before them, or in them."""
        first = self.broken() if self.head_good else 0
        return 0 if first < 0 else sum(frame.commit > 0 for frame in self.frames[first:])


def log_of(database: Path) -> Path:
    """Where the log of a database lies."""
    return database.with_name(database.name + "-wal")


def kept(database: Path) -> Path:
    """A second name for a log that was found damaged: closing the database merges the log and takes its own away."""
    return database.with_name(database.name + "-wal.kept")


def keep(database: Path) -> None:
    """Give the log that second name."""
    with contextlib.suppress(OSError):  # it is there already, or the disk knows no second names
        os.link(log_of(database), kept(database))


def read(database: Path) -> Log | None:
    """The log beside a database, or None when there is none or nothing was written to it."""
    try:
        raw = log_of(database).read_bytes()
    except FileNotFoundError:
        return None
    return parse(raw) if len(raw) > HEAD else None


def parse(raw: bytes) -> Log:
    """A whole log."""
    magic, _, page_size, _ = struct.unpack_from(">4I", raw)
    order = "<" if magic == LITTLE else ">"
    head_good = magic in (LITTLE, BIG) and struct.unpack_from(">2I", raw, 24) == _sum(raw[:24], order, (0, 0))
    if not head_good:
        page_size, order = PAGE_SIZE, "<"
    size = FRAME_HEAD + page_size
    count = (len(raw) - HEAD) // size
    table = np.frombuffer(raw, np.uint8, count * size, HEAD).reshape(count, size)
    salt = raw[16:24] if head_good else _common_salt(table)
    good = _good(raw, table, order)
    ours = (table[:, 8:16] == np.frombuffer(salt, np.uint8)).all(axis=1)
    numbers = np.ascontiguousarray(table[:, :8]).view(">u4").astype(np.int64)
    frames = [Frame(int(k), int(numbers[k, 0]), int(numbers[k, 1]), bool(good[k])) for k in np.flatnonzero(ours)]
    return Log(head_good, salt, page_size, frames)


def _common_salt(table: NDArray[Any]) -> bytes:
    """The salt of most frames."""
    salts, counts = np.unique(table[:, 8:16], axis=0, return_counts=True)
    return bytes(salts[int(counts.argmax())]) if len(counts) else b""


def _good(raw: bytes, table: NDArray[Any], order: str) -> NDArray[Any]:
    """Of each frame, whether its sum is right after the sum that the frame before it carries."""
    told = np.ascontiguousarray(table[:, 16:24]).view(">u4").astype(np.uint32)
    first = np.array([struct.unpack_from(">2I", raw, 24)], np.uint32)
    before = np.concatenate([first, told[:-1]]) if len(told) else told
    parts = [_sums(table[k : k + BULK], before[k : k + BULK], order) for k in range(0, len(table), BULK)]
    return (np.concatenate(parts) == told).all(axis=1) if parts else np.zeros(0, bool)


def _sums(table: NDArray[Any], before: NDArray[Any], order: str) -> NDArray[Any]:
    words = np.ascontiguousarray(np.concatenate([table[:, :8], table[:, FRAME_HEAD:]], axis=1)).view(f"{order}u4")
    pairs = words.shape[1] // 2
    weights, power = _weights(pairs)
    with np.errstate(over="ignore"):
        own = [(words * weights[row]).sum(axis=1, dtype=np.uint32) for row in (0, 1)]
        return np.stack([own[r] + before[:, 0] * power[r, 0] + before[:, 1] * power[r, 1] for r in (0, 1)], axis=1)


def _sum(data: bytes, order: str, start: tuple[int, int]) -> tuple[int, int]:
    """The sum as the format's page gives it: s0 += x0 + s1; s1 += x1 + s0."""
    s0, s1 = start
    for x0, x1 in struct.iter_unpack(f"{order}2I", data):
        s0 = (s0 + x0 + s1) & 0xFFFFFFFF
        s1 = (s1 + x1 + s0) & 0xFFFFFFFF
    return s0, s1


@lru_cache(maxsize=4)
def _weights(pairs: int) -> tuple[NDArray[Any], NDArray[Any]]:
    """The same sum as weights: each pair goes through the matrix [[1, 1], [1, 2]] once for each pair from it on."""
    step, enters = np.array([[1, 1], [1, 2]], np.uint64), np.array([[1, 0], [1, 1]], np.uint64)
    power: NDArray[Any] = np.eye(2, dtype=np.uint64)
    weights = np.zeros((2, 2 * pairs), np.uint32)
    for k in range(pairs - 1, -1, -1):
        weights[:, 2 * k : 2 * k + 2] = (power @ enters) & 0xFFFFFFFF
        power = (power @ step) & 0xFFFFFFFF
    return weights, power.astype(np.uint32)


def mended(raw: bytes) -> bytes:
    """The same log, readable to its end: all sums are made anew, and a frame that cannot be believed is left out.

    Where no later frame brings its page again, an empty page stands for it. That is no page to SQLite: what was on it
    is missing, and nothing false takes its place.
    """
    log = parse(raw)
    frames, most = _believable(log.frames)
    head = struct.pack(">4I", LITTLE, 3007000, log.page_size, 0) + log.salt
    state = _sum(head, "<", (0, 0))
    out = [head + struct.pack(">2I", *state)]
    for frame in frames:
        start = HEAD + frame.place * (FRAME_HEAD + log.page_size) + FRAME_HEAD
        page = raw[start : start + log.page_size] if frame.good else bytes(log.page_size)
        ends = most if frame is frames[-1] else 0  # all of it or nothing: it is one commit now
        told = struct.pack(">2I", frame.page, ends)
        state = _sum(told + page, "<", state)
        out.append(told + log.salt + struct.pack(">2I", *state) + page)
    return b"".join(out)


def _believable(frames: list[Frame]) -> tuple[list[Frame], int]:
    """Frames of whole commits that are worth keeping, and how many pages the file has after them."""
    ends = [k for k, frame in enumerate(frames) if frame.commit]
    frames = frames[: ends[-1] + 1] if ends else []
    most = next((frame.commit for frame in reversed(frames) if frame.good and frame.commit), 0)
    last = {frame.page: frame.place for frame in frames if frame.good}
    return [f for f in frames if f.good or (0 < f.page <= most and last.get(f.page, -1) < f.place)], most
