"""What is left of the write-ahead log after a power cut still opens, and holds every row up to some moment.

A power cut may keep any beginning of what was not yet synced. So the log is cut short at many places, the middle of a
page among them, and each remainder is opened.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.store import Store
from tests.proof.fixture import Proof
from tests.store.making import reading

ROWS = 25
# https://sqlite.org/fileformat2.html#the_write_ahead_log: a log of a 32-byte head and frames of 24 bytes and a page.
HEAD, FRAME = 32, 24 + 4096


def _recorded(path: Path, copy_after: int) -> list[Path]:
    """Write row by row; after each acknowledged row from `copy_after` on, copy database and log as they lie there."""
    copies = []
    Store(path).close()  # the tables are in the file itself, the rows go to the log
    with Store(path) as store:
        for seq in range(ROWS):
            store.add_records("yard", "b1", [reading(seq)])
            if seq >= copy_after:
                copies.append(_copy(path, path.parent / f"after{seq}"))
    return copies


def _copy(path: Path, folder: Path, keep: int | None = None) -> Path:
    folder.mkdir()
    shutil.copy(path, folder / path.name)
    log = path.with_name(path.name + "-wal").read_bytes()
    (folder / (path.name + "-wal")).write_bytes(log if keep is None else log[:keep])
    return folder / path.name


def _rows_left(path: Path) -> int:
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        seqs = [seq for (seq,) in db.execute("SELECT seq FROM reading ORDER BY seq")]
        assert seqs == list(range(len(seqs))), "a later row is there and an earlier one is not"
        (mark,) = db.execute("SELECT coalesce(max(mark), 0) FROM boot").fetchone()
        assert mark == len(seqs), "the mark and the rows were committed together"
    return len(seqs)


def test_a_copy_taken_after_each_acknowledgement_holds_every_acknowledged_row(path: Path) -> None:
    copies = _recorded(path, copy_after=0)
    assert [_rows_left(copy) for copy in copies] == list(range(1, ROWS + 1))


def _check_cuts(path: Path, step: int) -> int:
    whole = _recorded(path, copy_after=ROWS - 1)[0]
    size = whole.with_name(whole.name + "-wal").stat().st_size
    cuts = sorted({*range(0, size, step), *range(HEAD, size, FRAME), size})
    rows = [_rows_left(_copy(whole, path.parent / f"cut{cut}", keep=cut)) for cut in cuts]
    assert rows == sorted(rows) and rows[-1] == ROWS
    return len(cuts)


def test_a_log_cut_short_anywhere_opens_with_the_rows_of_an_earlier_moment(path: Path) -> None:
    assert _check_cuts(path, step=9973) > 40


def test_a_file_cut_short_at_its_birth_is_made_anew(path: Path) -> None:
    with Store(path):
        size = path.with_name(path.name + "-wal").stat().st_size
        copies = [_copy(path, path.parent / f"birth{keep}", keep) for keep in range(0, size, size // 7)]
    for copy in copies:
        with Store(copy) as store:
            assert store.add_records("yard", "b1", [reading(0)]) == 1


@pytest.mark.prove("store")
def test_a_log_cut_short_at_a_thousand_places_opens(path: Path, proof: Proof) -> None:
    proof.record("write-ahead logs cut short, each of which opened whole up to a moment", _check_cuts(path, step=601))
