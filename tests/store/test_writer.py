"""One writer at a time, many threads, and no acknowledged row lost when the writer is killed."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from pathlib import Path

import pytest

from emberdraft.store import Store, StoreTaken
from tests.proof.fixture import Proof
from tests.store.making import START_S, reading

# Writes one row, says which, writes the next: what is printed has been acknowledged.
WRITER = """
import sys
from emberdraft.store import Store
from tests.store.making import reading
store = Store(sys.argv[1])
seq = store.mark_of("yard", "b1")
while True:
    store.add_records("yard", "b1", [reading(seq)])
    print(seq, flush=True)
    seq += 1
"""


def _write_until_killed(path: Path, lines: int) -> int:
    """Kill the writer after `lines` acknowledged rows, in the middle of the next; the last one it acknowledged."""
    root = Path(__file__).parents[2]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(str(root / part) for part in ("host", "firmware", "."))}
    writer = subprocess.Popen([sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True, env=env)
    assert writer.stdout is not None
    acknowledged = -1
    for _ in range(lines):
        acknowledged = int(writer.stdout.readline())
    os.kill(writer.pid, signal.SIGKILL)
    rest = writer.stdout.read().splitlines()
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL
    return int(rest[-1]) if rest else acknowledged


def _kill_and_count(path: Path, kills: int) -> tuple[int, int]:
    """How many kills lost no acknowledged row; the last row acknowledged."""
    acknowledged, survived = -1, 0
    for kill in range(kills):
        acknowledged = _write_until_killed(path, 5 + 7 * (kill % 5))
        with closing(sqlite3.connect(path)) as db:
            assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            stored = [seq for (seq,) in db.execute("SELECT seq FROM reading ORDER BY seq")]
        assert stored == list(range(len(stored)))
        survived += stored[-1] >= acknowledged
    return survived, acknowledged


def test_a_killed_writer_loses_no_acknowledged_row(path: Path) -> None:
    survived, acknowledged = _kill_and_count(path, 4)
    assert survived == 4 and acknowledged > 30


@pytest.mark.prove("store")
def test_fifty_kills_lose_no_acknowledged_row(path: Path, proof: Proof) -> None:
    survived, acknowledged = _kill_and_count(path, 50)
    name = "kill -9 of the writer after which every acknowledged row was there, of 50"
    proof.promise(name, survived, equals=50, note=f"{acknowledged + 1} rows")


def test_a_second_writer_is_refused_and_told_who_writes(store: Store, path: Path) -> None:
    with pytest.raises(StoreTaken, match=f"being written by another Emberdraft .process {os.getpid()}.*--db"):
        Store(path)


def test_a_second_writer_is_refused_by_another_name_of_the_same_file(store: Store, path: Path) -> None:
    alias = path.with_name("alias.sqlite")
    alias.symlink_to(path)
    with pytest.raises(StoreTaken):
        Store(alias)


def test_the_lock_is_free_again_after_closing(path: Path) -> None:
    Store(path).close()
    Store(path).close()


def test_a_killed_writer_leaves_no_lock_behind(path: Path) -> None:
    _write_until_killed(path, 3)
    with Store(path) as store:
        assert store.mark_of("yard", "b1") >= 3


def test_one_thread_writes_while_many_read(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    wrong: list[object] = []
    done = threading.Event()

    def read() -> None:
        seen = 0
        while not done.is_set():
            seqs = store.readings(cook_id)["seq"]
            if seqs != list(range(len(seqs))) or len(seqs) < seen:
                wrong.append(seqs)
            seen = len(seqs)

    readers = [threading.Thread(target=read) for _ in range(4)]
    for reader in readers:
        reader.start()
    for seq in range(60):
        store.add_records("yard", "b1", [reading(seq)])
    done.set()
    for reader in readers:
        reader.join()
    assert wrong == []
    assert store.mark_of("yard", "b1") == 60


def test_threads_that_write_at_once_wait_for_each_other(store: Store) -> None:
    numbers: list[int] = []
    threads = [
        threading.Thread(target=lambda: numbers.extend(store.next_order_n("yard") for _ in range(10))) for _ in range(4)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(numbers) == list(range(1, 41))
