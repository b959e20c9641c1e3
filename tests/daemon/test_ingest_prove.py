"""The full size of the promise that nothing is lost: host and broker killed again and again in one stream."""

from __future__ import annotations

import contextlib
import os
import signal
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from emberdraft.daemon.broker import EmbeddedBroker
from emberdraft.store import Store
from tests.daemon.ingest_rig import BoardThread, until
from tests.daemon.test_ingest import host_process, stored

KILLS = 50
SPEED = 60.0
COVERS = ["firmware/emberboard/link", "host/emberdraft/daemon/ingest.py", "host/emberdraft/store"]


def broker_pid(broker: EmbeddedBroker) -> int:
    return int(broker._engine._broker._process.pid)  # type: ignore[union-attr]


@pytest.mark.prove
def test_fifty_kills_of_host_and_broker_lose_no_row(
    tmp_path: Path, proof: Callable[[str, str, object, str, list[str]], None]
) -> None:
    path = tmp_path / "cooks.sqlite"
    broker = EmbeddedBroker()
    address = broker.start()
    with BoardThread(address, SPEED, capacity=60000) as board:
        host = host_process(path, address)
        for kill in range(KILLS):
            wanted = board.spool.oldest + 20
            until(lambda wanted=wanted: board.spool.oldest >= wanted, 60.0)
            if kill % 2:
                os.kill(broker_pid(broker), signal.SIGKILL)
                broker.stop()
                broker.start()
            else:
                host.kill()
                host.wait()
                host = host_process(path, address)
        board.rest()
        until(board.settled, 120.0)
        host.kill()
        host.wait()
    broker.stop()
    with Store(path) as store:
        rows = stored(store)
    with contextlib.closing(sqlite3.connect(path)) as db:
        (integrity,) = db.execute("PRAGMA integrity_check").fetchone()
    lost = board.spool.next_seq - len(rows)
    proof("Delivery", f"rows lost over {KILLS} kill -9 of host and broker in one stream", lost, "0", COVERS)
    proof("Delivery", "rows in that stream", len(rows), "", COVERS)
    proof("Delivery", "SQLite integrity_check after it", integrity, "ok", COVERS)
    assert (lost, board.spool.dropped, integrity) == (0, 0, "ok")
