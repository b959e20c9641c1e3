"""A broker that does all the harm it can, one switch each, and that can be made to behave; virtual time."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from emberboard.link import packets
from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.spool import Spool
from tests.link.peer import EAGAIN, Controller, Plain, inputs, outputs

BOOT = "aa11bb22"
POLL_MS = 100  # as emberboard/app.py
WINDOW = 4096  # bytes on the way that nobody has read; lwIP's send buffer is of this order (from memory)
KINDS = (packets.CONNECT, packets.SUBSCRIBE, packets.PINGREQ, packets.PUBLISH)


class Line:
    """One connection: the client's socket on this side, the broker's ends of both streams on the other."""

    def __init__(self, broker: HostileBroker) -> None:
        self._broker = broker
        self.written = bytearray()  # by the client, not yet read by the broker
        self.incoming = bytearray()
        self.decoder = packets.Decoder(1 << 17)
        self.dead = False  # takes bytes while the window lasts; nothing comes, and no error
        self.ended = False
        self.error: OSError | None = None
        self.closed = False

    def write(self, data: Any) -> int | None:
        if self.error:
            raise self.error
        if self._broker.never_connects:
            raise OSError(EAGAIN)
        count = min(len(data), WINDOW - len(self.written), self._broker.takes)
        self.written += data[:count]
        return count or None

    def readinto(self, room: Any) -> int | None:
        if self.error:
            raise self.error
        if self.dead or not self.incoming:
            return 0 if self.ended else None
        count = min(len(room), len(self.incoming), self._broker.gives)
        room[:count] = self.incoming[:count]
        del self.incoming[:count]
        return count

    def close(self) -> None:
        self.closed = True


class HostileBroker:
    """`run` answers what the client wrote, as far as the switches let it."""

    def __init__(self) -> None:
        self.line: Line | None = None
        self.replies: list[Any] = []  # `n` of each
        self.rows = 0
        self.behave()

    def behave(self) -> None:
        """All switches off: a broker that accepts."""
        self.refuses_to_open = self.never_connects = self.deaf = False
        self.unanswered: frozenset[int] = frozenset()
        self.code, self.grant = 0, 1
        self.takes = self.gives = 1 << 20  # bytes in one call
        self.before_connack = self.before_suback = b""

    def open(self, _host: str, _port: int) -> Line:
        if self.refuses_to_open:
            raise OSError(113)  # EHOSTUNREACH
        self.line = Line(self)
        return self.line

    @property
    def live(self) -> Line | None:
        """The connection, while it is one."""
        line = self.line
        return line if line is not None and not (line.closed or line.dead or line.ended or line.error) else None

    def say(self, data: bytes | bytearray) -> None:
        if self.live is not None:
            self.live.incoming += data

    def run(self) -> None:
        line = self.live
        if line is None or self.deaf:
            return
        line.decoder.feed(bytes(line.written))
        line.written.clear()
        while (packet := line.decoder.take()) is not None:
            kind = packet[0] >> 4
            self._note(*packet[:2])
            if kind not in self.unanswered:
                self.say(self._answer(kind, *packet[:2]))

    def _note(self, first: int, body: bytes) -> None:
        if first >> 4 != packets.PUBLISH:
            return
        topic, payload, *_ = packets.read_publish(first, body)
        self.rows += topic.endswith("/reading")
        if topic.endswith("/reply"):
            self.replies.append(json.loads(payload)["n"])

    def _answer(self, kind: int, first: int, body: bytes) -> bytes | bytearray:
        if kind == packets.CONNECT:
            return self.before_connack + bytes(packets.connack(self.code))
        if kind == packets.SUBSCRIBE:
            pid, topics = packets.read_subscribe(body)
            return self.before_suback + bytes(packets.suback(pid, [self.grant] * len(topics)))
        if kind == packets.PINGREQ:
            return packets.PONG
        if kind == packets.PUBLISH:
            _, _, qos, _, _, pid = packets.read_publish(first, body)
            return packets.puback(pid) if qos else b""
        return b""


def message(payload: bytes, qos: int = 1, retain: bool = False, version: int = 1) -> bytes:
    """Something on the topic of orders, as it stands on the wire."""
    return bytes(packets.publish(f"emberdraft/{version}/test/order", payload, qos, retain, False, 9))


def order(n: int, name: str = "target", qos: int = 1, retain: bool = False, boot: str = BOOT) -> bytes:
    """An order as it stands on the wire."""
    payload = {"n": n, "boot": boot, "until_ms": 10**12, "name": name, "args": {"target_c": 120}}
    return message(json.dumps(payload, ensure_ascii=False).encode(errors="replace"), qos, retain)


class HostileBoard:
    """The board's real client, session and spool at such a broker; a row a second, ten polls a second."""

    def __init__(self) -> None:
        self.broker = HostileBroker()
        self.controller = Controller()
        self.client = MqttClient(
            self.broker.open, "h", 1883, "c", "u", "p", 10, None, subscriptions("test"), lambda: 1.0
        )
        spool = Spool(168, BOOT)
        info: dict[str, Any] = {"firmware": "0", "sensors": {}, "limits": {}}
        self.spool = spool
        self.session = LinkSession(self.client, spool, self.controller, "test", BOOT, info)
        self.now_ms = 0
        self.n = 0
        self._row = outputs(), inputs()

    def poll(self, times: int = 1) -> None:
        for _ in range(times):
            if self.now_ms % 1000 == 0:
                self.spool.add_reading(self.now_ms, *self._row)
            self.session.poll(self.now_ms)
            self.broker.run()
            self.now_ms += POLL_MS

    def next_n(self) -> int:
        self.n += 1
        return self.n

    def until(self, done: Callable[[], bool], most_s: float, each_second: Callable[[], None]) -> bool:
        """Whether `done` came true within `most_s`."""
        for k in range(int(most_s * 1000) // POLL_MS):
            if done():
                return True
            if k % (1000 // POLL_MS) == 0:
                each_second()
            self.poll()
        return done()

    def raise_alert(self, id: str, on: bool) -> None:
        """An alert comes or goes: one more thing to be said."""
        self.controller.alerts.pop(id, None)
        if on:
            values = {"kind": "trip", "value": 352.0, "limit": 350.0, "since_ms": self.now_ms, "acknowledged": False}
            values["active"] = True
            self.controller.alerts[id] = Plain(**values)
