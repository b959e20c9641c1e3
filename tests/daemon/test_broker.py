"""Link tests of the embedded brokers: they chose between the two, and hold the choice.

What should happen is MQTT 3.1.1 throughout: the will within 1.5 x keep alive (MQTT-3.1.2-24), never
after DISCONNECT (3.1.2-8); retain 0 for a message that is forwarded as it comes, 1 for one that was
kept (3.3.1-8, -9). iotcore passes all; amqtt, the way back, passes those that take `any_broker`.
"""

from __future__ import annotations

import contextlib
import socket
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from emberboard.link import packets
from emberdraft.daemon.broker import BrokerAddress, EmbeddedBroker, best_kind
from emberdraft.errors import UserError
from tests.waiting import CAP_S


class Caller:
    """A client of plain bytes, so that nothing of a library stands between the test and the broker."""

    def __init__(
        self,
        address: BrokerAddress,
        client_id: str,
        password: str | None = None,
        keep_alive_s: int = 60,
        will: tuple[str, bytes, int, bool] | None = None,
    ) -> None:
        self.sock = socket.create_connection((address.host, address.port), CAP_S)
        self._decoder = packets.Decoder(65536)
        password = address.password if password is None else password
        user = address.user if password else None
        self.send(packets.connect(client_id, user, password or None, keep_alive_s, will))

    def send(self, packet: bytes) -> None:
        self.sock.sendall(packet)

    def next(self, wait_s: float = CAP_S) -> tuple[int, bytes] | None:
        """The next packet, None when nothing came in time or the broker closed."""
        end = time.monotonic() + wait_s
        while (packet := self._decoder.take()) is None:
            self.sock.settimeout(max(0.001, end - time.monotonic()))
            try:
                data = self.sock.recv(4096)
            except OSError:
                return None
            if not data:
                return None
            self._decoder.feed(data)
        return packet[0], packet[1]

    def let_in(self) -> bool:
        """Whether the broker welcomed us."""
        packet = self.next()
        return packet is not None and packet[0] >> 4 == packets.CONNACK and packet[1][1] == 0

    def listen(self, topic: str) -> Caller:
        assert self.let_in()
        self.send(packets.subscribe(1, [(topic, 1)]))
        packet = self.next()
        assert packet is not None and packet[0] >> 4 == packets.SUBACK
        return self

    def say(self, topic: str, payload: bytes, retain: bool = False) -> None:
        """Publish and wait until the broker has it."""
        self.send(packets.publish(topic, payload, 1, retain, False, 7))
        packet = self.next()
        assert packet is not None and packet[0] >> 4 == packets.PUBACK

    def heard(self, wait_s: float = CAP_S) -> tuple[str, bytes, bool] | None:
        """The next message as (topic, payload, retained)."""
        packet = self.next(wait_s)
        if packet is None:
            return None
        topic, payload, qos, retain, _, pid = packets.read_publish(*packet)
        if qos:
            self.send(packets.puback(pid))
        return topic, payload, retain


@pytest.fixture(scope="module", params=["iotcore", "amqtt"])
def any_broker(request: pytest.FixtureRequest) -> Iterator[BrokerAddress]:
    broker = EmbeddedBroker(kind=request.param)
    yield broker.start()
    broker.stop()


@pytest.fixture(scope="module")
def chosen() -> Iterator[BrokerAddress]:
    broker = EmbeddedBroker()
    yield broker.start()
    broker.stop()


Call = Callable[..., Caller]


@pytest.fixture
def call() -> Iterator[Call]:
    """call(address, client_id, ...): a Caller that is closed with the test."""
    with contextlib.ExitStack() as stack:

        def make(*args: Any, **more: Any) -> Caller:
            caller = Caller(*args, **more)
            stack.callback(caller.sock.close)
            return caller

        yield make


def test_iotcore_is_the_first_choice() -> None:
    assert best_kind() == "iotcore"


def test_it_listens_on_loopback_only_with_a_password_of_its_own(any_broker: BrokerAddress) -> None:
    assert any_broker.host == "127.0.0.1"
    assert len(any_broker.password or "") >= 20
    assert (any_broker.password or "") not in repr(any_broker)
    with pytest.raises(OSError), socket.create_connection((socket.gethostname(), any_broker.port), 0.5) as found:
        if found.getpeername()[0].startswith("127."):
            raise OSError("the name of this computer is loopback")


@pytest.mark.parametrize("password", ["wrong", ""], ids=["wrong", "none"])
def test_a_wrong_password_is_refused(any_broker: BrokerAddress, password: str, call: Call) -> None:
    assert not call(any_broker, "x", password).let_in()


def test_a_message_arrives_as_it_was_sent(any_broker: BrokerAddress, call: Call) -> None:
    listener = call(any_broker, "l1").listen("a/+")
    speaker = call(any_broker, "s1")
    assert speaker.let_in()
    for size in (0, 1, 113, 1500):
        speaker.say("a/b", b"x" * size)
        assert listener.heard() == ("a/b", b"x" * size, False)


def test_retain_is_0_for_what_is_forwarded_and_1_for_what_was_kept(chosen: BrokerAddress, call: Call) -> None:
    before = call(chosen, "l2").listen("r/#")
    speaker = call(chosen, "s2")
    assert speaker.let_in()
    speaker.say("r/link", b"online", retain=True)
    assert before.heard() == ("r/link", b"online", False)
    after = call(chosen, "l3").listen("r/#")
    assert after.heard() == ("r/link", b"online", True)


def test_the_will_is_said_when_the_connection_breaks(chosen: BrokerAddress, call: Call) -> None:
    listener = call(chosen, "l4").listen("w/#")
    dying = call(chosen, "d4", will=("w/link", b"offline", 1, True))
    assert dying.let_in()
    dying.sock.close()
    assert listener.heard() == ("w/link", b"offline", False)


def test_a_silent_boards_will_is_said_within_one_and_a_half_keep_alives(chosen: BrokerAddress, call: Call) -> None:
    """Never earlier than one; the quickest of a few tries, since a busy computer may be late with any of them."""
    listener = call(chosen, "l5").listen("k/#")

    def waited_s(number: int) -> float:
        silent = call(chosen, f"d5-{number}", keep_alive_s=1, will=("k/link", b"offline", 1, False))
        assert silent.let_in()
        start = time.monotonic()
        assert listener.heard() == ("k/link", b"offline", False)
        return time.monotonic() - start

    tries = map(waited_s, range(10))
    assert any(0.9 <= each_s <= 1.5 + 1.0 for each_s in tries)  # a second for the broker's own round


def test_no_will_after_a_goodbye(chosen: BrokerAddress, call: Call) -> None:
    listener = call(chosen, "l6").listen("g/#")
    leaving = call(chosen, "d6", will=("g/link", b"offline", 1, True))
    assert leaving.let_in()
    leaving.send(packets.BYE)
    leaving.sock.close()
    speaker = call(chosen, "s6")
    assert speaker.let_in()
    speaker.say("g/mark", b"after")
    assert listener.heard() == ("g/mark", b"after", False)


def test_a_kept_message_comes_once_and_an_empty_one_takes_it_away(chosen: BrokerAddress, call: Call) -> None:
    speaker = call(chosen, "s7")
    assert speaker.let_in()
    speaker.say("o/link", b"one", retain=True)
    speaker.say("o/link", b"two", retain=True)
    listener = call(chosen, "l7").listen("o/#")
    speaker.say("o/mark", b"1")
    assert [listener.heard(), listener.heard()] == [("o/link", b"two", True), ("o/mark", b"1", False)]
    speaker.say("o/link", b"", retain=True)
    late = call(chosen, "l8").listen("o/#")
    speaker.say("o/mark", b"2")
    assert late.heard() == ("o/mark", b"2", False)


def test_a_second_client_of_the_same_id_ends_the_first(chosen: BrokerAddress, call: Call) -> None:
    first = call(chosen, "same")
    assert first.let_in()
    second = call(chosen, "same")
    assert second.let_in()
    assert first.next() is None


def test_a_broker_that_does_not_come_up_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen on a computer whose queue was twenty programs long."""
    import iotcore

    def late(_self: Any, timeout: float) -> None:
        assert timeout >= 60.0
        raise RuntimeError(f"broker did not start listening within {timeout}s")

    monkeypatch.setattr(iotcore.Broker, "start", late)
    with pytest.raises(UserError, match=r"^broker did not start .* too busy just now; start again$"):
        EmbeddedBroker(kind="iotcore").start()


def test_the_password_is_not_in_the_process_list() -> None:
    broker = EmbeddedBroker(password="canary-of-the-test")
    broker.start()
    try:
        lines = [path.read_bytes() for path in Path("/proc").glob("[0-9]*/cmdline") if path.exists()]
    finally:
        broker.stop()
    assert lines and not any(b"canary-of-the-test" in line for line in lines)


@pytest.mark.parametrize("kind", ["iotcore", "amqtt"])
def test_it_stops_and_starts_again_on_the_same_port(kind: str, call: Call) -> None:
    broker = EmbeddedBroker(kind=kind)
    first = broker.start()
    broker.stop()
    broker.stop()
    with pytest.raises(OSError):
        socket.create_connection((first.host, first.port), 0.5)
    assert broker.start() == first
    assert call(first, "x").let_in()
    broker.stop()


@pytest.mark.parametrize("kind", ["iotcore", "amqtt"])
def test_a_taken_port_is_told_in_one_line(kind: str) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(UserError, match=f"port {port} on 127.0.0.1.*choose another port"):
            EmbeddedBroker(port=port, kind=kind).start()
