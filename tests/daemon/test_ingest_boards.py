"""Messages of a board into a real database, without a network: what is stored, settled, counted."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from emberboard.link import messages
from emberboard.link.spool import Spool
from emberdraft.daemon.boards import Board, sort_message
from emberdraft.daemon.line import Message
from emberdraft.daemon.tally import Tallies
from emberdraft.errors import UserError
from emberdraft.store import Store, StoreFull
from tests.link.peer import inputs, outputs

BOOT = "aa11bb22"
NOON_S = 1.7e9


class Rig:
    """A spool of the firmware, a board of the host, and the messages between them by hand."""

    def __init__(self, store: Store, capacity: int = 600, boot: str = BOOT) -> None:
        self.store = store
        self.tallies = Tallies()
        self.spool = Spool(capacity, boot)
        self.host = self.fresh_host()

    def fresh_host(self) -> Board:
        self.host = Board("test", self.store, self.tallies, 1.0)
        return self.host

    def tick(self, count: int = 1) -> None:
        for _ in range(count):
            self.spool.add_reading(self.spool.next_seq * 1000, outputs(), inputs())

    def say(self, what: str, payload: bytes, at_s: float = NOON_S, retained: bool = False) -> Any:
        topic = messages.topic("test", what)
        return sort_message(self.host, what, Message(at_s, topic, payload, retained))

    def send(self, seq: int, late: bool = False, delay_s: float = 0.0, **changed: Any) -> None:
        """The record `seq` as the board would send it, some fields changed."""
        offset = self.spool.offset(seq)
        what, payload = messages.record(self.spool.buf, offset, self.spool.boot, self.spool.oldest, late)
        message = {**json.loads(bytes(payload)), **changed}
        at_s = NOON_S + message["ms"] / 1000.0 if isinstance(message["ms"], int) else NOON_S
        self.say(what, json.dumps(message).encode(), at_s + delay_s)

    def commit(self) -> int:
        """Commit all; the mark that would be acknowledged."""
        mark = -1
        for intake in self.host.waiting():
            _, mark = intake.commit()
        return mark

    def stored(self) -> list[tuple[int, float, int]]:
        db = sqlite3.connect(f"file:{self.store.path}?mode=ro", uri=True)
        try:
            rows = "SELECT seq, at_s, late FROM reading UNION ALL SELECT seq, at_s, late FROM event"
            return sorted(db.execute(rows))
        finally:
            db.close()

    def lost(self) -> list[tuple[int, int]]:
        db = sqlite3.connect(f"file:{self.store.path}?mode=ro", uri=True)
        try:
            return sorted(db.execute("SELECT first_seq, last_seq FROM lost"))
        finally:
            db.close()


@pytest.fixture
def rig(tmp_path: Path) -> Iterator[Rig]:
    with Store(tmp_path / "cooks.sqlite") as store:
        yield Rig(store)


def test_rows_lie_on_our_clock_by_the_boards_own_time(rig: Rig) -> None:
    rig.tick(3)
    for seq in range(3):
        rig.send(seq)
    assert rig.commit() == 3
    assert rig.stored() == [(0, NOON_S, 0), (1, NOON_S + 1.0, 0), (2, NOON_S + 2.0, 0)]


def test_the_least_delay_of_the_first_rows_sets_the_clock(rig: Rig) -> None:
    rig.tick(3)
    for seq, delay_s in ((0, 0.9), (1, 0.2), (2, 0.5)):
        rig.send(seq, delay_s=delay_s)
    rig.commit()
    assert rig.stored()[0][1] == pytest.approx(NOON_S + 0.2, rel=0.0, abs=1e-3)


def test_the_clock_of_a_start_stays_also_over_a_restart_of_the_host(rig: Rig) -> None:
    # Otherwise rows of one start could change their order, or a step of the host's clock make a negative interval.
    rig.tick(4)
    rig.send(0)
    rig.commit()
    rig.send(1, delay_s=-3600.0)
    rig.commit()
    rig.fresh_host()
    rig.send(2, delay_s=3600.0)
    rig.send(3, late=True, delay_s=50.0)
    assert rig.commit() == 4
    assert [at_s for _, at_s, _ in rig.stored()] == [NOON_S, NOON_S + 1.0, NOON_S + 2.0, NOON_S + 3.0]


def test_late_rows_of_a_start_without_a_clock_wait_on_the_board(rig: Rig) -> None:
    rig.tick(3)
    rig.send(0, late=True)
    rig.commit()
    assert rig.stored() == []
    assert rig.tallies.counts()["no_clock"].count == 1
    for seq in (2, 0, 1):
        rig.send(seq, late=seq != 2)
    assert rig.commit() == 3


def test_a_repeat_is_harmless(rig: Rig) -> None:
    rig.tick(2)
    for _ in range(3):
        rig.send(0)
        rig.send(1)
        assert rig.commit() == 2
    assert len(rig.stored()) == 2


def test_the_mark_stops_at_a_hole_until_it_is_filled(rig: Rig) -> None:
    rig.tick(4)
    for seq in (0, 1, 3):
        rig.send(seq)
    assert rig.commit() == 2
    rig.send(2, late=True)
    assert rig.commit() == 4


def test_an_empty_store_begins_at_what_the_board_still_holds(rig: Rig) -> None:
    rig.tick(20)
    rig.spool.ack(15, 0)
    rig.send(15)
    assert rig.commit() == 16
    assert rig.lost() == []


def test_a_loss_that_is_told_is_settled_and_recorded(rig: Rig) -> None:
    rig.spool = Spool(5, BOOT)
    rig.tick(2)
    rig.send(0)
    rig.send(1)
    assert rig.commit() == 2
    rig.tick(8)
    rig.spool.connected(10000)
    rig.spool.announce_lost(10000)
    for seq in range(rig.spool.oldest, rig.spool.next_seq):
        rig.send(seq, late=True)
    assert rig.commit() == rig.spool.next_seq == 11
    assert rig.lost() == [(2, 5)]  # rows 0 and 1 are here, whatever the board says


def test_what_the_board_does_not_hold_any_more_is_settled_without_being_told(rig: Rig) -> None:
    # A store brought back from an old copy: the board had let go of rows that this file never saw.
    rig.tick(10)
    rig.send(0)
    rig.commit()
    rig.spool.ack(7, 0)
    rig.send(7)
    assert rig.commit() == 8
    assert rig.lost() == [(1, 6)]


def test_a_full_disk_keeps_the_rows_for_the_next_try(rig: Rig) -> None:
    rig.tick(2)
    rig.send(0)
    real = rig.store.add_records

    def full(*_args: Any) -> int:
        raise StoreFull("the disk is full; readings wait on the board.")

    rig.store.add_records = full  # type: ignore[method-assign]
    with pytest.raises(StoreFull):
        rig.commit()
    rig.store.add_records = real  # type: ignore[method-assign]
    rig.send(1)
    assert rig.commit() == 2


def test_rows_that_a_broker_had_kept_are_not_taken(rig: Rig) -> None:
    rig.tick(1)
    offset = rig.spool.offset(0)
    what, payload = messages.record(rig.spool.buf, offset, BOOT, 0, False)
    rig.say(what, bytes(payload), retained=True)
    assert rig.host.waiting() == []
    assert rig.tallies.counts()["retained_row"].count == 1


def test_two_starts_are_kept_apart(rig: Rig) -> None:
    rig.tick(2)
    rig.send(0)
    rig.send(1)
    second = Spool(600, "ccddeeff")
    second.add_reading(0, outputs(), inputs())
    what, payload = messages.record(second.buf, 0, "ccddeeff", 0, False)
    rig.say(what, bytes(payload), NOON_S + 100.0)
    marks = {intake.boot: intake.commit()[1] for intake in rig.host.waiting()}
    assert marks == {BOOT: 2, "ccddeeff": 1}


# ---- link, alerts, orders ------------------------------------------------------------------


def alert(boot: str = BOOT, **changed: Any) -> bytes:
    values = {"id": "pull", "kind": "notice", "value": 57.0, "limit": 57.0, "since_ms": 1, "acknowledged": False}
    return json.dumps({**values, "boot": boot, "seq": 3, **changed}).encode()


def test_an_alert_is_current_only_with_the_boot_of_the_link(rig: Rig) -> None:
    rig.say("alert/pull", alert("00000000"), retained=True)
    rig.say("link", messages.link("online", BOOT))
    assert rig.host.alerts(NOON_S) == {}
    rig.say("alert/pull", alert())
    assert rig.host.alerts(NOON_S)["pull"]["value"] == 57.0
    rig.say("link", messages.link("offline", BOOT), NOON_S + 1.0)
    assert rig.host.alerts(NOON_S + 1.0) == {}


def test_changed_alerts_are_told_once(rig: Rig) -> None:
    rig.say("link", messages.link("online", BOOT))
    rig.say("alert/pull", alert())
    assert [key for key, _ in rig.host.changed_alerts(NOON_S)] == ["pull"]
    assert list(rig.host.changed_alerts(NOON_S)) == []
    rig.say("alert/pull", alert(acknowledged=True))
    ((_, got),) = rig.host.changed_alerts(NOON_S)
    assert got is not None and got["acknowledged"] is True
    rig.say("alert/pull", b"")
    assert list(rig.host.changed_alerts(NOON_S)) == [("pull", None)]


def test_the_boards_uptime_goes_on_from_its_last_live_reading(rig: Rig) -> None:
    rig.say("link", messages.link("online", BOOT))
    rig.tick(6)
    rig.send(5)
    assert rig.host.present(NOON_S + 5.0 + 2.5) == (BOOT, 7500)
    with pytest.raises(UserError, match="nothing was sent"):
        rig.host.present(NOON_S + 60.0)


def test_the_same_gains_are_told_once(rig: Rig) -> None:
    payload = messages.tuning({"kp": 0.01}, BOOT, None, 5)
    assert rig.say("tuning", payload) == ("tuning", {"gains": {"kp": 0.01}, "n": None})
    assert rig.say("tuning", messages.tuning({"kp": 0.01}, BOOT, None, 900)) is None
    assert rig.say("tuning", messages.tuning({"kp": 0.02}, BOOT, 8, 1000))[1]["n"] == 8


@pytest.mark.parametrize("what", ["link", "info", "reading", "event", "tuning", "reply", "alert/pull"])
@pytest.mark.parametrize(
    "payload", [b"x", b"[]", b"nan", b"\xff", b"5", b'{"boot": 5}', b'{"boot": "", "seq": -1}', b"{" * 500]
)
def test_garbage_is_an_error_of_the_message_and_of_nothing_else(rig: Rig, what: str, payload: bytes) -> None:
    with pytest.raises((msgspec.MsgspecError, UnicodeDecodeError)):
        rig.say(what, payload)
    rig.tick(1)
    rig.send(0)
    assert rig.commit() == 1


whats = st.sampled_from(["link", "info", "reading", "event", "tuning", "reply", "alert/pull", "order", "x"])


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(whats, st.binary(max_size=80) | st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.dictionaries(st.sampled_from(["boot", "seq", "ms", "n", "state", "kind", "value"]), inner),
).map(lambda value: json.dumps(value).encode()))  # fmt: skip
def test_any_payload_is_taken_or_refused(rig: Rig, what: str, payload: bytes) -> None:
    try:
        rig.say(what, payload)
    except (msgspec.MsgspecError, UnicodeDecodeError):
        return
