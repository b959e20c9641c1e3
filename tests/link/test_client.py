"""The client against a scripted broker: what should happen, byte by byte and deadline by deadline."""

from __future__ import annotations

import itertools
from typing import Any

import pytest

from emberboard.link import packets
from emberboard.link.client import IDLE, INBOX, LONGEST_PAUSE_MS, MqttClient
from tests.link.peer import Peer, Wire


class Rig:
    """A client, its scripted broker, and a time that the test moves."""

    def __init__(self, **more: Any) -> None:
        self.peer = Peer()
        self.now_ms = 0
        options = {"keep_alive_s": 10, "subscriptions": (("a/ack", 0), ("+/order", 1)), "chance": lambda: 1.0, **more}
        self.client = MqttClient(self.peer.open, "h", 1883, "board", "u", "p", **options)

    def poll(self, times: int = 1, step_ms: int = 100) -> None:
        for _ in range(times):
            self.client.poll(self.now_ms)
            self.peer.run()
            self.now_ms += step_ms

    def up(self) -> Rig:
        self.poll(6)
        assert self.client.up
        return self


def test_comes_up_with_will_user_and_subscriptions() -> None:
    rig = Rig(will=("a/link", b"offline", 1, True)).up()
    (asked,) = rig.peer.connects
    assert asked == {
        "client_id": "board",
        "user": "u",
        "password": "p",
        "clean": True,
        "keep_alive_s": 10,
        "will": ("a/link", b"offline", 1, True),
    }
    assert rig.client.epoch == 1


def test_each_packet_is_one_write() -> None:
    # Five writes a packet cost umqtt 45 ms each through Nagle's algorithm and delayed acknowledgements.
    rig = Rig().up()
    before = rig.peer.wire.writes
    assert rig.client.publish("a/reading", b"x" * 500)
    rig.poll()
    assert rig.peer.wire.writes == before + 1


def test_bytes_may_come_one_at_a_time() -> None:
    rig = Rig()
    rig.peer.silent = True
    rig.poll(2)
    for byte in bytes(packets.connack(0)) + bytes(packets.suback(1, [0, 1])):
        rig.peer.wire.incoming.append(byte)
        rig.poll(1, step_ms=1)
    rig.poll(2)
    assert rig.client.up


def test_a_network_that_takes_one_byte_a_time_still_gets_whole_packets() -> None:
    rig = Rig().up()
    rig.client.publish("a/reading", b"hello")
    rig.peer.wire.takes = 0
    for _ in range(40):
        rig.peer.wire.takes = 1
        rig.poll(1, step_ms=1)
    assert ("a/reading", b"hello", False) in rig.peer.published


def test_a_full_buffer_is_told_and_nothing_is_lost_of_what_was_taken() -> None:
    rig = Rig(tx_bytes=600).up()
    rig.peer.wire.takes = 0
    taken = [rig.client.publish("a/r", bytes([k]) * 100) for k in range(10)]
    assert taken == [True] * 5 + [False] * 5  # 5 x (100 + 5 topic and length bytes + 2)
    rig.peer.wire.takes = 1 << 20
    rig.poll(3)
    assert [payload[0] for topic, payload, _ in rig.peer.published if topic == "a/r"] == [0, 1, 2, 3, 4]


def test_nothing_is_taken_before_the_broker_let_us_in() -> None:
    rig = Rig()
    assert not rig.client.publish("a/r", b"x")


def test_an_order_of_quality_1_is_acknowledged_and_handed_over_once() -> None:
    rig = Rig().up()
    rig.peer.send("x/order", b"{}", qos=1)
    rig.poll(2)
    assert rig.client.take() == ("x/order", b"{}", False)
    assert rig.client.take() is None
    assert rig.peer.acked == [1]


def test_the_retain_flag_is_handed_over() -> None:
    rig = Rig().up()
    rig.peer.send("x/order", b"{}", retain=True)
    rig.poll()
    assert rig.client.take() == ("x/order", b"{}", True)


def test_a_full_inbox_holds_the_network_back_and_loses_nothing() -> None:
    rig = Rig().up()
    for k in range(3 * INBOX):
        rig.peer.send("x/order", b"%d" % k)
    got = []
    for _ in range(3 * INBOX):
        rig.poll(1, step_ms=1)
        got.append(rig.client.take())
    assert [payload for _, payload, _ in got] == [b"%d" % k for k in range(3 * INBOX)]


def test_a_message_larger_than_the_buffer_is_acknowledged_counted_and_skipped() -> None:
    rig = Rig().up()
    rig.peer.send("x/order", b"z" * 5000, qos=1)
    rig.peer.send("x/order", b"next", qos=1)
    rig.poll(10)
    assert rig.client.take() == ("x/order", b"next", False)
    assert rig.client.oversize == 1
    assert rig.peer.acked == [1, 2]


def test_a_reply_without_puback_goes_again_on_the_next_connection() -> None:
    rig = Rig().up()
    rig.peer.silent = True
    rig.client.publish("a/reply", b"yes", qos=1)
    rig.poll(2)
    rig.peer.wire.error = OSError(104)  # ECONNRESET
    rig.peer.wire.written.clear()  # what was under way is gone with the connection
    rig.poll()
    rig.peer.silent = False
    rig.poll(30)
    assert ("a/reply", b"yes", False) in rig.peer.published
    rig.poll(200)
    assert len([entry for entry in rig.peer.published if entry[0] == "a/reply"]) == 1


def test_a_silent_connection_is_asked_before_half_the_keep_alive_is_over_and_stays_up() -> None:
    rig = Rig().up()
    rig.poll(300)  # 30 s without a word from either side
    assert rig.client.up
    assert rig.peer.pings == 6  # one each 5 s, half of keep alive


def test_a_half_open_connection_is_found_although_readings_still_go_out() -> None:
    # The network takes our bytes and nothing ever comes back: keep alive by sending alone would never end.
    rig = Rig().up()
    rig.peer.silent = True
    start_ms = rig.now_ms
    while rig.client.up:
        rig.client.publish("a/reading", b"x")
        rig.poll()
        assert rig.now_ms - start_ms <= 15500  # 1.5 x keep alive, as long as a broker waits for us
    assert "ping" in rig.client.trouble


def test_a_peer_that_never_reads_is_given_up() -> None:
    rig = Rig(tx_bytes=300).up()
    rig.peer.wire.takes = 0
    for _ in range(160):
        rig.client.publish("a/reading", b"x" * 100)
        rig.poll()
    assert rig.peer.wires[0].closed


@pytest.mark.parametrize("silent_from", ["connect", "connack"])
def test_a_broker_that_does_not_answer_is_given_up_after_the_keep_alive(silent_from: str) -> None:
    rig = Rig()
    rig.peer.silent = True
    rig.poll(1)
    rig.peer.wire.connected = silent_from != "connect"
    rig.poll(98)
    assert not rig.peer.wires[0].closed
    rig.poll(5)
    assert rig.peer.wires[0].closed
    assert rig.client.state == IDLE


@pytest.mark.parametrize(
    ("code", "words"), [(1, "3.1.1"), (2, "client id"), (3, "not ready"), (4, "password"), (5, "let this user in")]
)
def test_a_refusal_is_named(code: int, words: str) -> None:
    # MQTT 3.1.1, table 3.1.
    rig = Rig()
    rig.peer.code = code
    rig.poll(3)
    assert words in rig.client.trouble
    assert not rig.client.up


def test_a_refused_subscription_is_named() -> None:
    rig = Rig()
    rig.peer.grant = 0x80
    rig.poll(4)
    assert "listen to its orders" in rig.client.trouble


@pytest.mark.parametrize(
    "data",
    [b"\x30\xff\xff\xff\xff\x7f", b"\x10\x00", b"HTTP/1.1 400 Bad Request\r\n" * 5, b"\x36\x03\x00\x01a", b"\x00\x00"],
    ids=["five length bytes", "a CONNECT", "another protocol", "quality 3", "kind 0"],
)
def test_a_peer_that_talks_no_mqtt_is_left(data: bytes) -> None:
    rig = Rig().up()
    rig.peer.wire.incoming += data
    rig.poll(3)
    assert rig.peer.wires[0].closed


@pytest.mark.parametrize("how", ["refused at once", "no route", "reset while waiting", "closed"])
def test_it_comes_back_after_a_broken_connection(how: str) -> None:
    rig = Rig()
    if how == "refused at once":
        opened: list[Wire] = []

        def refuse(host: str, port: int) -> Wire:
            opened.append(Wire())
            if len(opened) == 1:
                raise OSError(111)
            return rig.peer.open(host, port)

        rig.client = MqttClient(refuse, "h", 1, "c", chance=lambda: 0.0)
    else:
        rig.poll(1)
        if how == "no route":
            rig.peer.wire.error = OSError(113)
        elif how == "closed":
            rig.up()
            rig.peer.wire.ended = True
        else:
            rig.up()
            rig.peer.wire.error = OSError(104)
    rig.poll(1)
    assert not rig.client.up
    rig.poll(40)
    assert rig.client.up


def test_pauses_double_up_to_a_quarter_of_a_minute_and_have_chance_in_them() -> None:
    tries: list[int] = []
    now = [0]

    def refuse(host: str, port: int) -> Wire:
        tries.append(now[0])
        raise OSError(111)

    def pauses(chance: float) -> list[int]:
        tries.clear()
        client = MqttClient(refuse, "h", 1, "c", chance=lambda: chance)
        for now[0] in range(0, 300000, 100):
            client.poll(now[0])
        return [after - before for before, after in itertools.pairwise(tries)]

    assert pauses(1.0)[:6] == [1000, 2000, 4000, 8000, LONGEST_PAUSE_MS, LONGEST_PAUSE_MS]
    assert pauses(0.0)[:3] == [500, 1000, 2000]


def test_disconnect_says_goodbye_so_that_the_will_stays_unsaid() -> None:
    rig = Rig().up()
    rig.client.disconnect()
    assert bytes(rig.peer.wire.written).endswith(packets.BYE)
    assert rig.peer.wire.closed
