"""A board's whole conversation with a scripted broker; printed the same by MicroPython and CPython."""

import sys

sys.path.insert(0, sys.argv[1])

import json

from emberboard.core.controller import Controller, Inputs
from emberboard.link import messages, packets
from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.spool import Spool


def text(value):
    """JSON with its keys in order: MicroPython does not keep the order of a dict."""
    if isinstance(value, dict):
        return "{" + ", ".join(key + ": " + text(value[key]) for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(text(entry) for entry in value) + "]"
    return f"{value:.4f}" if isinstance(value, float) else json.dumps(value)


class Broker:
    """The other end of the wire, and the wire."""

    def __init__(self):
        self.decoder = packets.Decoder(4096)
        self.incoming = bytearray()
        self.gone = False
        self.mark = 0

    def open(self, host, port):
        if self.gone:
            raise OSError(113)
        self.decoder.clear()
        self.incoming = bytearray()
        return self

    def close(self):
        pass

    def write(self, data):
        if self.gone:
            raise OSError(104)
        self.decoder.feed(bytes(data))
        packet = self.decoder.take()
        while packet is not None:
            self.answer(packet[0], packet[1])
            packet = self.decoder.take()
        return len(data)

    def readinto(self, room):
        count = min(len(room), len(self.incoming))
        if not count:
            return None
        room[:count] = self.incoming[:count]
        self.incoming = self.incoming[count:]
        return count

    def answer(self, first, body):
        kind = first >> 4
        if kind == packets.CONNECT:
            print("connect", packets.read_connect(body)["client_id"])
            self.incoming += packets.connack(0)
        elif kind == packets.SUBSCRIBE:
            self.incoming += packets.suback(1, [0, 1])
        elif kind == packets.PINGREQ:
            self.incoming += packets.PONG
        elif kind == packets.PUBLISH:
            self.heard(*packets.read_publish(first, body))

    def heard(self, topic, payload, qos, retain, dup, pid):
        if qos:
            self.incoming += packets.puback(pid)
        print(topic, retain, text(json.loads(str(payload, "utf-8"))) if payload else "empty")
        if topic.endswith(("/reading", "/event")):
            seq = json.loads(str(payload, "utf-8"))["seq"]
            if seq == self.mark:
                self.mark += 1
            self.say("emberdraft/1/demo/ack", messages.ack("aa11bb22", self.mark))

    def say(self, topic, payload, qos=0):
        self.incoming += packets.publish(topic, payload, qos, False, False, 7 if qos else 0)


broker, controller, inputs = Broker(), Controller(1), Inputs(1)
spool = Spool(30, "aa11bb22")
client = MqttClient(
    broker.open, "h", 1883, "board", "u", "p", 10, messages.will("demo", "aa11bb22"),
    subscriptions("demo"), lambda: 0.5,
)  # fmt: skip
info = {"firmware": "0", "sensors": {"pit": "K"}, "limits": {"pit_c": float("nan")}}
session = LinkSession(client, spool, controller, "demo", "aa11bb22", info)

ORDERS = {
    3: ("1", {"n": 1, "boot": "aa11bb22", "until_ms": 60000, "name": "lid", "args": {"open": True}}),
    4: ("1", {"n": 1, "boot": "aa11bb22", "until_ms": 60000, "name": "lid", "args": {"open": True}}),
    5: ("1", {"n": 2, "boot": "00000000", "until_ms": 60000, "name": "lid", "args": {"open": False}}),
    6: ("1", {"n": 3, "boot": "aa11bb22", "until_ms": 1, "name": "lid", "args": {"open": False}}),
    7: ("1", {"n": 4, "boot": "aa11bb22", "until_ms": 60000, "name": "lid", "args": {"open": 1}}),
    8: ("1", {"n": 5, "boot": "aa11bb22", "until_ms": 60000, "name": "fly", "args": {}}),
    9: ("2", {"n": 6}),
    10: ("1", [1, 2]),
}

for second in range(90):
    broker.gone = 15 <= second < 55
    inputs.pit_c = 100.0 + second
    inputs.core_c[0] = 20.5
    outputs = controller.tick(second * 1000, inputs)
    spool.add_reading(second * 1000, outputs, inputs)
    controller.events.clear()
    if second in ORDERS:
        version, order = ORDERS[second]
        broker.say("emberdraft/" + version + "/demo/order", messages.dumps(order), 1)
    for poll in range(10):
        session.poll(second * 1000 + poll * 100)
print(spool.oldest, spool.next_seq, spool.dropped, session.malformed, client.epoch)
