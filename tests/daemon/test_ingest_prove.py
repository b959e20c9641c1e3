"""The full size of the promise that nothing is lost: host and broker killed again and again in one stream."""

from __future__ import annotations

import contextlib
import os
import signal
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from emberdraft.store import Store
from tests.daemon.ingest_rig import BoardThread
from tests.daemon.test_ingest import Embedded, Outside, host_process, stored
from tests.daemon.test_ingest import broker as broker  # the fixture: embedded, then Mosquitto
from tests.waiting import until

KILLS = 50
SPEED = 60.0
PROVES = ["firmware/emberboard/link", "host/emberdraft/daemon/ingest.py", "host/emberdraft/store"]


@pytest.mark.prove("Delivery", proves=PROVES)
def test_fifty_kills_of_host_and_broker_lose_no_row(
    broker: Embedded | Outside, tmp_path: Path, proof: Callable[[str, str, object, str, list[str]], None]
) -> None:
    path = tmp_path / "cooks.sqlite"
    with BoardThread(broker.board, SPEED, capacity=60000) as board:
        host = host_process(path, broker.address)
        for kill in range(KILLS):
            wanted = board.spool.oldest + 20
            until(lambda wanted=wanted: board.spool.oldest >= wanted)
            if kill % 2:
                os.kill(broker.pid, signal.SIGKILL)
                broker.stop()
                broker.start()
            else:
                host.kill()
                host.wait()
                host = host_process(path, broker.address)
        board.rest()
        until(board.settled)
        host.kill()
        host.wait()
    with Store(path) as store:
        rows = stored(store)
    with contextlib.closing(sqlite3.connect(path)) as db:
        (integrity,) = db.execute("PRAGMA integrity_check").fetchone()
    lost = board.spool.next_seq - len(rows)
    kind = "Mosquitto" if isinstance(broker, Outside) else "embedded broker"
    proof.promise(f"{kind}: rows lost over {KILLS} kill -9 of host and broker in one stream", lost, equals=0)
    proof.promise(f"{kind}: rows that the board had to drop", board.spool.dropped, equals=0)
    proof.record(f"{kind}: rows in that stream", len(rows))
    proof.promise(f"{kind}: SQLite integrity_check after it", integrity, equals="ok")
