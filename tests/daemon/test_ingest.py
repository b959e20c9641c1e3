"""The whole way: the board's own link code, a real broker, the host's ingest, a real database."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.clock import Clock
from emberdraft.daemon.broker import BrokerAddress, EmbeddedBroker
from emberdraft.daemon.ingest import Ingest
from emberdraft.daemon.order import Order
from emberdraft.errors import UserError
from emberdraft.store import Store, StoreBusy
from tests.daemon.ingest_rig import COOKER, BoardThread
from tests.mosquitto import Mosquitto
from tests.waiting import CAP_S, until

SPEED = 60.0


class Embedded(EmbeddedBroker):
    """The broker that comes along, as the tests see any broker."""

    address: BrokerAddress
    board: BrokerAddress

    def start(self) -> BrokerAddress:
        self.address = self.board = super().start()
        return self.address

    @property
    def pid(self) -> int:
        return int(self._engine._broker._process.pid)  # type: ignore[union-attr]


class Outside(Mosquitto):
    """A Mosquitto of one's own: the board has its own user."""

    address: BrokerAddress
    board: BrokerAddress

    def start(self) -> BrokerAddress:
        self.address, self.board = super().start(), self.as_user(COOKER)
        return self.address


@pytest.fixture(params=["embedded", "mosquitto"])
def broker(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Embedded | Outside]:
    broker = Embedded() if request.param == "embedded" else Outside(tmp_path / "broker")
    broker.start()
    yield broker
    broker.stop()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "cooks.sqlite") as store:
        yield store


class Heard:
    """An ingest and all that it told."""

    def __init__(self, address: BrokerAddress, store: Any) -> None:
        self.rows: list[dict[str, Any]] = []
        self.links: list[str] = []
        self.alerts: list[tuple[str, Any]] = []
        self.replies: list[dict[str, Any]] = []
        self.ingest = Ingest(
            address,
            COOKER,
            store,
            Clock(SPEED),
            on_rows=lambda cooker, rows: self.rows.extend(rows),
            on_link=lambda cooker, view: self.links.append(view.state),
            on_alert=lambda cooker, alert_id, alert: self.alerts.append((alert_id, alert)),
            on_reply=lambda cooker, reply: self.replies.append(reply),
        )

    def __enter__(self) -> Heard:
        self.ingest.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.ingest.stop()

    def online(self) -> bool:
        return self.ingest.link(COOKER).state == "online"


def stored(store: Store, boot: str = "aa11bb22") -> list[int]:
    """Every seq on the disk."""
    db = sqlite3.connect(f"file:{store.path}?mode=ro", uri=True)
    try:
        sql = (
            "SELECT seq FROM reading WHERE boot = :boot UNION ALL SELECT seq FROM event WHERE boot = :boot ORDER BY seq"
        )
        return [seq for (seq,) in db.execute(sql, {"boot": boot})]
    finally:
        db.close()


def test_every_reading_of_a_minute_at_sixty_times_is_on_the_disk_and_acknowledged(
    broker: Embedded | Outside, store: Store
) -> None:
    with Heard(broker.address, store) as heard, BoardThread(broker.board, SPEED) as board:
        until(lambda: board.spool.next_seq >= 60)
        board.rest()
        until(board.settled)
        assert heard.online()
        assert heard.ingest.counts() == {}
        assert heard.ingest.troubles() == []
    assert stored(store) == list(range(board.spool.next_seq))
    by_seq = {row["seq"]: row["at_s"] for row in heard.rows}
    assert [by_seq[seq] for seq in sorted(by_seq)] == sorted(by_seq.values())
    assert "online" in heard.links


def test_a_broker_killed_and_started_again_leaves_no_gap(broker: Embedded | Outside, store: Store) -> None:
    with Heard(broker.address, store), BoardThread(broker.board, SPEED) as board:
        until(lambda: board.spool.oldest >= 20)
        os.kill(broker.pid, signal.SIGKILL)
        until(lambda: board.spool.next_seq - board.spool.oldest >= 60)
        broker.stop()
        broker.start()
        until(lambda: board.spool.oldest >= 120)
        board.rest()
        until(board.settled)
        assert board.spool.dropped == 0
    assert stored(store) == list(range(board.spool.next_seq))


HOST = """
    import sys, time
    from emberdraft.clock import Clock
    from emberdraft.daemon.broker import BrokerAddress
    from emberdraft.daemon.ingest import Ingest
    from emberdraft.store import Store
    path, port, user, password, speed = sys.argv[1:]
    address = BrokerAddress("127.0.0.1", int(port), user, password)
    Ingest(address, "test", Store(path), Clock(float(speed))).start()
    time.sleep(6000)
"""


def host_process(path: Path, address: BrokerAddress) -> subprocess.Popen[bytes]:
    words = [str(path), str(address.port), str(address.user), str(address.password), str(SPEED)]
    return subprocess.Popen([sys.executable, "-c", textwrap.dedent(HOST), *words])


def test_a_host_killed_in_mid_stream_loses_nothing(broker: Embedded | Outside, tmp_path: Path) -> None:
    path = tmp_path / "cooks.sqlite"
    with BoardThread(broker.board, SPEED) as board:
        for acknowledged in (30, 100):
            host = host_process(path, broker.address)
            until(lambda wanted=acknowledged: board.spool.oldest >= wanted)
            host.kill()
            host.wait()
        with Store(path) as store, Heard(broker.address, store):
            until(lambda: board.spool.oldest >= 160)
            board.rest()
            until(board.settled)
            assert board.spool.dropped == 0
    with Store(path) as store:
        assert stored(store) == list(range(board.spool.next_seq))


def test_an_order_is_answered_and_both_are_in_the_store(broker: Embedded | Outside, store: Store) -> None:
    with Heard(broker.address, store) as heard, BoardThread(broker.board, SPEED) as board:
        until(heard.online)
        n = heard.ingest.send_order(COOKER, Order("target", {"target_c": 130.0}, "plan"))
        reply = heard.ingest.wait_reply(COOKER, n, CAP_S)
        assert reply is not None
        assert (reply["n"], reply["code"]) == (n, "")
        assert board.controller.orders == [("target", {"target_c": 130.0})]
        board.controller.answer = ("not_now", "stopped for safety: acknowledge first")
        second = heard.ingest.send_order(COOKER, Order("target", {"target_c": 140.0}))
        until(lambda: len(heard.replies) == 2)
        assert second > n
        assert (heard.replies[1]["n"], heard.replies[1]["code"]) == (second, "not_now")


def test_orders_without_a_board_or_of_a_wrong_form_are_refused_and_nothing_is_sent(
    broker: Embedded | Outside, store: Store
) -> None:
    with Heard(broker.address, store) as heard:
        with pytest.raises(UserError, match="target_c: must be a number"):
            heard.ingest.send_order(COOKER, Order("target", {"target_c": "hot"}))
        with pytest.raises(UserError, match="cooker test: nothing was sent"):
            heard.ingest.send_order(COOKER, Order("target", {"target_c": 120.0}))
    assert store.counts()["order_"] == 0


def test_alerts_reach_the_host_and_go_again(broker: Embedded | Outside, store: Store) -> None:
    from tests.link.peer import Plain

    with Heard(broker.address, store) as heard, BoardThread(broker.board, SPEED) as board:
        until(heard.online)
        trip = Plain(kind="trip", value=352.0, limit=350.0, since_ms=500, acknowledged=False, active=True)
        board.controller.alerts = {"pit_over_limit": trip}
        assert until(lambda: heard.ingest.alerts(COOKER))["pit_over_limit"]["value"] == 352.0
        board.controller.alerts = {}
        until(lambda: heard.ingest.alerts(COOKER) == {})
        until(lambda: len(heard.alerts) == 2)
    assert [alert_id for alert_id, _ in heard.alerts] == ["pit_over_limit", "pit_over_limit"]
    assert heard.alerts[1][1] is None


class Locked:
    """A store that is locked for a while: everything else goes to the real one."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self.locked = True

    def __getattr__(self, name: str) -> Any:
        return getattr(self._store, name)

    def add_records(self, *args: Any) -> int:
        if self.locked:
            raise StoreBusy("cooks.sqlite is locked by another program; readings wait on the board.")
        return self._store.add_records(*args)


def test_while_the_store_is_locked_nothing_is_acknowledged_and_it_says_so(
    broker: Embedded | Outside, store: Store
) -> None:
    locked = Locked(store)
    with Heard(broker.address, locked) as heard, BoardThread(broker.board, SPEED) as board:
        until(lambda: board.spool.next_seq >= 30 and heard.ingest.troubles())
        assert "locked" in heard.ingest.troubles()[0] and "wait on the board" in heard.ingest.troubles()[0]
        assert board.spool.oldest == 0
        locked.locked = False
        until(lambda: board.spool.oldest >= 30)
        board.rest()
        until(board.settled)
        assert heard.ingest.troubles() == []
    assert stored(store) == list(range(board.spool.next_seq))


@pytest.mark.parametrize("which", ["no broker", "wrong password"])
def test_a_broker_that_cannot_be_used_is_named(broker: Embedded | Outside, store: Store, which: str) -> None:
    right = broker.address
    if which == "no broker":
        broker.stop()
        address, words = right, "nobody answers"
    else:
        address, words = BrokerAddress(right.host, right.port, right.user, "wrong"), "check user and password"
    with Heard(address, store) as heard:
        until(lambda: any(words in text for text in heard.ingest.troubles()))
        assert f"{address.host}:{address.port}" in heard.ingest.troubles()[0]


def test_an_error_in_a_listener_is_counted_and_the_worker_lives_on(broker: Embedded | Outside, store: Store) -> None:
    def fail(cooker: str, rows: Any) -> None:
        raise RuntimeError("no room on the page")

    ingest = Ingest(broker.address, COOKER, store, Clock(SPEED), on_rows=fail)
    ingest.start()
    with BoardThread(broker.board, SPEED) as board:
        until(lambda: board.spool.oldest >= 20)
    ingest.stop()
    assert "no room on the page" in ingest.counts()["callback"].example


@pytest.mark.parametrize("name", ["Patio", "a/b", ""])
def test_a_bad_name_of_a_cooker_is_refused(store: Store, name: str) -> None:
    with pytest.raises(UserError, match="a-z, 0-9 and -"):
        Ingest(BrokerAddress("127.0.0.1", 1), name, store, Clock())
