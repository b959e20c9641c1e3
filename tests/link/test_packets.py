"""Packets against the bytes of the standard and against an independent parser (amqtt's)."""

from __future__ import annotations

import asyncio
import io

import pytest
from amqtt.adapters import BufferReader
from amqtt.mqtt.connect import ConnectPacket
from amqtt.mqtt.publish import PublishPacket
from amqtt.mqtt.subscribe import SubscribePacket
from hypothesis import given
from hypothesis import strategies as st

from emberboard.link import packets
from tests.own_thread import in_own_thread


# Source: OASIS MQTT 3.1.1, table 2.4 (first and last value of each size); 321 from the mqtt.org wiki.
@pytest.mark.parametrize(
    ("length", "coded"),
    [
        (0, "00"),
        (127, "7F"),
        (128, "80 01"),
        (321, "C1 02"),
        (16383, "FF 7F"),
        (16384, "80 80 01"),
        (2097151, "FF FF 7F"),
        (2097152, "80 80 80 01"),
        (268435455, "FF FF FF 7F"),
    ],
)
def test_remaining_length_is_coded_as_in_the_standard(length: int, coded: str) -> None:
    buf = bytearray(4)
    end = packets.put_length(buf, 0, length)
    assert bytes(buf[:end]) == bytes.fromhex(coded)
    assert packets.length_size(length) == end


def test_a_length_over_four_bytes_is_refused() -> None:
    with pytest.raises(packets.PacketError, match="268435456"):
        packets.length_size(268435456)


def test_a_fifth_length_byte_is_malformed() -> None:
    # MQTT 3.1.1, 2.2.3: at most four bytes.
    decoder = packets.Decoder()
    decoder.feed(b"\x30\xff\xff\xff\xff\x01")
    with pytest.raises(packets.PacketError, match="four bytes"):
        decoder.take()


# Sources: MQTT 3.1.1 sections 3.3.1, 3.4 (PUBLISH, PUBACK), 3.12 to 3.14; computed by hand from the layout.
@pytest.mark.parametrize(
    ("packet", "expected"),
    [
        (packets.publish("a/b", b"", qos=1, pid=10), "32 07 00 03 61 2F 62 00 0A"),
        (packets.publish("a/b", b"", qos=1, pid=10, dup=True), "3A 07 00 03 61 2F 62 00 0A"),
        (packets.publish("a/b", b"hi", retain=True), "31 07 00 03 61 2F 62 68 69"),
        (packets.puback(10), "40 02 00 0A"),
        (packets.subscribe(10, [("a/b", 1), ("c/d", 2)]), "82 0E 00 0A 00 03 61 2F 62 01 00 03 63 2F 64 02"),
        (packets.suback(10, [0, 2, 0x80]), "90 05 00 0A 00 02 80"),
        (packets.connack(0), "20 02 00 00"),
        (packets.connack(5), "20 02 00 05"),
        (packets.PING, "C0 00"),
        (packets.PONG, "D0 00"),
        (packets.BYE, "E0 00"),
    ],
)
def test_packets_are_the_bytes_of_the_standard(packet: bytes, expected: str) -> None:
    assert bytes(packet) == bytes.fromhex(expected)


def test_connect_has_the_variable_header_of_the_standard() -> None:
    # MQTT 3.1.1, figure 3.6: user, password, will of QoS 1, clean session make the flags CE; keep alive is 10.
    packet = packets.connect("c", "u", "p", 10, ("t", b"w", 1, False))
    assert bytes(packet[2:12]) == bytes.fromhex("00 04 4D 51 54 54 04 CE 00 0A")


def amqtt_reads(kind: type, packet: bytes) -> object:
    return in_own_thread(lambda: asyncio.run(kind.from_stream(BufferReader(bytes(packet)))))


@pytest.mark.parametrize("remaining", [127, 128, 16383, 16384])
def test_connect_of_every_length_is_read_by_an_independent_parser(remaining: int) -> None:
    # The trap of several MicroPython clients: lengths above 127 in one byte (micropython-lib issue 165).
    fixed = len(packets.connect("board", "user", "word", 10, ("t/link", b"", 1, True))) - 2
    payload = b"x" * (remaining - fixed)
    packet = packets.connect("board", "user", "word", 10, ("t/link", payload, 1, True))
    assert len(packet) == 1 + packets.length_size(remaining) + remaining
    got = amqtt_reads(ConnectPacket, packet)
    assert (got.client_id, got.username, got.password) == ("board", "user", "word")
    assert (got.will_topic, bytes(got.will_message)) == ("t/link", payload)
    assert (got.will_qos, bool(got.will_retain_flag), got.keep_alive) == (1, True, 10)


@pytest.mark.parametrize("topic_length", [1, 120, 121, 122, 123, 300])
def test_subscribe_to_long_topics_is_read_by_an_independent_parser(topic_length: int) -> None:
    # micropython-lib issue 969: SUBSCRIBE broke at about 122 bytes of topic.
    topic = "t" * topic_length
    got = amqtt_reads(SubscribePacket, packets.subscribe(7, [(topic, 1)]))
    assert got.payload.topics == [(topic, 1)]
    assert got.variable_header.packet_id == 7


@pytest.mark.parametrize("size", [0, 110, 120, 121, 122, 123, 130, 2000, 20000])
def test_publish_of_every_length_is_read_by_an_independent_parser(size: int) -> None:
    got = amqtt_reads(PublishPacket, packets.publish("a/b", b"z" * size, qos=1, retain=True, pid=513))
    assert (got.topic_name, len(got.data or b""), got.packet_id) == ("a/b", size, 513)
    assert (got.qos, bool(got.retain_flag)) == (1, True)


def test_decoder_reads_what_an_independent_writer_made() -> None:
    made = PublishPacket.build("a/b", b"payload", 9, False, 1, True)
    decoder = packets.Decoder()
    decoder.feed(made.to_bytes())
    first, body, whole = decoder.take()
    assert whole
    assert packets.read_publish(first, body) == ("a/b", b"payload", 1, True, False, 9)


STREAM = b"".join(
    bytes(packet)
    for packet in (
        packets.connack(0),
        packets.suback(1, [0, 1]),
        packets.publish("e/1/order", b"x" * 150, qos=1, pid=3),
        packets.PONG,
        packets.publish("e/1/ack", b"", qos=0),
        packets.puback(2),
    )
)


def decoded(pieces: list[bytes]) -> list[tuple[int, bytes, bool]]:
    decoder = packets.Decoder(256)
    out = []
    for piece in pieces:
        while piece:
            piece = piece[decoder.feed(piece) :]
            while (packet := decoder.take()) is not None:
                out.append(packet)
    return out


@pytest.mark.parametrize("cut", range(1, len(STREAM)))
def test_packets_are_the_same_wherever_the_network_splits_them(cut: int) -> None:
    assert decoded([STREAM[:cut], STREAM[cut:]]) == decoded([STREAM])


def test_packets_are_the_same_byte_by_byte() -> None:
    assert decoded([STREAM[i : i + 1] for i in range(len(STREAM))]) == decoded([STREAM])
    assert len(decoded([STREAM])) == 6


@pytest.mark.parametrize("step", [1, 7, 100, 5000])
def test_a_packet_larger_than_the_buffer_is_cut_and_the_next_one_whole(step: int) -> None:
    data = bytes(packets.publish("t", b"x" * 3000, qos=1, pid=77)) + bytes(packets.puback(5))
    got = decoded([data[i : i + step] for i in range(0, len(data), step)])
    assert [entry[2] for entry in got] == [False, True]
    assert packets.read_publish(got[0][0], got[0][1])[5] == 77
    assert packets.number(got[1][1]) == 5


topics = st.text(st.characters(codec="utf-8", exclude_characters="\x00#+"), min_size=1, max_size=200)


@given(topics, st.binary(max_size=600), st.integers(0, 1), st.booleans(), st.booleans(), st.integers(1, 65535))
def test_publish_comes_back_as_it_went(topic: str, payload: bytes, qos: int, retain: bool, dup: bool, pid: int) -> None:
    decoder = packets.Decoder(4096)
    decoder.feed(packets.publish(topic, payload, qos, retain, dup, pid))
    first, body, whole = decoder.take()
    assert whole
    assert packets.read_publish(first, body) == (topic, payload, qos, retain, dup, pid if qos else 0)


@given(
    st.text(max_size=60),
    st.none() | st.tuples(st.text(max_size=200), st.none() | st.text(max_size=200)),
    st.integers(0, 65535),
    st.none() | st.tuples(topics, st.binary(max_size=200), st.integers(0, 2), st.booleans()),
)
def test_connect_comes_back_as_it_went(
    client_id: str, who: tuple[str, str | None] | None, keep_alive_s: int, will: tuple[str, bytes, int, bool] | None
) -> None:
    user, password = who or (None, None)
    decoder = packets.Decoder(4096)
    decoder.feed(packets.connect(client_id, user, password, keep_alive_s, will))
    _, body, _ = decoder.take()
    got = packets.read_connect(body)
    assert (got["client_id"], got["user"], got["password"]) == (client_id, user, password)
    assert (got["keep_alive_s"], got["will"], got["clean"]) == (keep_alive_s, will, True)


@given(st.lists(st.binary(max_size=40), max_size=30))
def test_garbage_is_refused_or_cut_but_never_breaks_the_decoder(pieces: list[bytes]) -> None:
    decoder = packets.Decoder(64)
    source = io.BytesIO(b"".join(pieces))
    while piece := source.read(16):
        decoder.feed(piece)
        try:
            while (packet := decoder.take()) is not None:
                packets.read_publish(packet[0], packet[1])
        except packets.PacketError:
            return


@pytest.mark.parametrize(
    "body", [b"", b"\x00", b"\x00\x05ab", b"\x00\x02\xff\xfeabc"], ids=["empty", "half", "short", "not utf-8"]
)
def test_a_broken_publish_is_an_error_of_the_packet(body: bytes) -> None:
    with pytest.raises(packets.PacketError):
        packets.read_publish(0x30, body)
