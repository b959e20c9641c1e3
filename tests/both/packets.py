"""MQTT packets written, cut at every place, and read again."""

import sys

sys.path.insert(0, sys.argv[1])

from emberboard.link import packets

written = [
    packets.connect("demo-1", "user", "p" * 120, 10, ("a/b", b"off", 1, True)),
    packets.connack(0),
    packets.publish("a/b", b"", 1, pid=10),
    packets.publish("a/b", b"x" * 300, 0, retain=True),
    packets.puback(65535),
    packets.subscribe(1, [("emberdraft/1/demo/ack", 0), ("emberdraft/+/demo/order", 1)]),
    packets.suback(1, [0, 1]),
    packets.PING,
]
stream = b"".join(bytes(packet) for packet in written)
print(len(stream), stream)

for cut in range(1, 64):
    decoder = packets.Decoder(1024)
    got = []
    for start in range(0, len(stream), cut):
        decoder.feed(stream[start : start + cut])
        packet = decoder.take()
        while packet is not None:
            got.append((packet[0], bytes(packet[1]), packet[2]))
            packet = decoder.take()
    print(cut, len(got), [first for first, _, _ in got])
print(got)
print(packets.read_publish(got[2][0], got[2][1]))

for bad in (b"\x30\xff\xff\xff\xff\x01", b"\x30\x02\x00\x05"):
    decoder = packets.Decoder(64)
    decoder.feed(bad)
    try:
        first, body, _ = decoder.take()
        print(packets.read_publish(first, body))
    except packets.PacketError as error:
        print("refused:", error)
