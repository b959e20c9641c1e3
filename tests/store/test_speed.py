"""Figures of speed, at full size and only for the proof: nothing in the quick tests is timed."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.store import Store, records
from tests.proof.fixture import Proof
from tests.store.making import START_S, reading

pytestmark = pytest.mark.prove("store")


def _ours_per_s(path: Path, count: int, batch: int) -> float:
    with Store(path) as store:
        rows = [reading(seq) for seq in range(count)]
        began_s = time.perf_counter()
        for first in range(0, count, batch):
            store.add_records("yard", "b1", rows[first : first + batch])
        return count / (time.perf_counter() - began_s)


def _plain_per_s(path: Path, count: int, batch: int) -> float:
    """The same table, rows and durability with the standard library alone."""
    Store(path).close()
    rows = [records._reading_row("yard", "b1", reading(seq)) for seq in range(count)]
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA synchronous = FULL")
        began_s = time.perf_counter()
        for first in range(0, count, batch):
            db.execute("BEGIN IMMEDIATE")
            db.executemany(records.INSERT_READING, rows[first : first + batch])
            db.execute("COMMIT")
        return count / (time.perf_counter() - began_s)


@pytest.mark.parametrize(("count", "batch"), [(1500, 1), (10_000, 20)])
def test_rows_a_second_beside_plain_sqlite(tmp_path: Path, proof: Proof, count: int, batch: int) -> None:
    """The better of three runs each: one sync that comes late must not decide."""
    plain = [_plain_per_s(tmp_path / f"plain{n}.sqlite", count, batch) for n in range(3)]
    ours = [_ours_per_s(tmp_path / f"ours{n}.sqlite", count, batch) for n in range(3)]
    said = f"{max(ours):.0f} against {max(plain):.0f} rows/s; plain: " + ", ".join(f"{rate:.0f}" for rate in plain)
    name = f"ingest beside plain sqlite3, {batch} rows a commit, every commit synced, the better of three each"
    tries = tuple(round(rate) for rate in ours)
    proof.promise(name, round(max(ours) / max(plain), 3), at_least=0.5, note=said, tries=tries)


def test_a_day_long_strip(tmp_path: Path, proof: Proof) -> None:
    with Store(tmp_path / "day.sqlite") as store:
        cook_id = store.begin_cook("yard", "day", None, START_S)
        store.add_records("yard", "b1", [reading(seq, pit_c=seq % 977 / 7.0) for seq in range(86_400)])
        spans_s = []
        for end_s in (START_S + 3600.0, START_S + 86_400.0):
            began_s = time.perf_counter()
            drawn = store.strip(cook_id, START_S, end_s, 1200)
            spans_s.append(time.perf_counter() - began_s)
            assert 1000 <= len(drawn["t"]) <= 1200
    hour_ms, day_ms = (round(1000.0 * span_s, 1) for span_s in spans_s)
    name = "strip of 86,400 readings, 12 traces, every peak kept"
    proof.promise(f"{name}, ms", day_ms, at_most=500.0)
    proof.promise(f"{name}, over an hour's", round(day_ms / hour_ms, 2), at_most=2.0, note=f"{hour_ms} ms")
