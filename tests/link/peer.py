"""A broker's end on a wire of bytes, scripted by the test: no network, no clock."""

from __future__ import annotations

import json
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from emberboard.link import packets
from emberboard.link.client import MqttClient
from emberboard.link.session import LinkSession, subscriptions
from emberboard.link.spool import Spool

EAGAIN = 11


class Wire:
    """A socket of the client: what it writes lands in `written`, what it reads comes from `incoming`."""

    def __init__(self, takes: int = 1 << 30) -> None:
        self.written = bytearray()
        self.incoming = bytearray()
        self.takes = takes  # bytes that the network still takes
        self.connected = True
        self.error: OSError | None = None
        self.ended = False
        self.closed = False
        self.writes = 0

    def write(self, data: Any) -> int | None:
        if self.error:
            raise self.error
        if not self.connected:
            raise OSError(EAGAIN)
        count = min(len(data), self.takes)
        self.takes -= count
        self.written += data[:count]
        self.writes += count > 0
        return count or None

    def readinto(self, room: Any) -> int | None:
        if self.error:
            raise self.error
        if not self.incoming:
            return 0 if self.ended else None
        count = min(len(room), len(self.incoming))
        room[:count] = self.incoming[:count]
        del self.incoming[:count]
        return count

    def close(self) -> None:
        self.closed = True


class Peer:
    """Plays a broker for one client: answers what a broker must, keeps what was published."""

    def __init__(self) -> None:
        self.wires: list[Wire] = []
        self.published: deque[tuple[str, bytes, bool]] = deque()
        self.connects: list[dict[str, Any]] = []
        self.acked: list[int] = []
        self.pings = 0
        self.code = 0
        self.gone = False
        self.silent = False
        self.grant = 1
        self._decoder = packets.Decoder(65536)
        self._pid = 0

    def open(self, host: str, port: int) -> Wire:
        if self.gone:
            raise OSError(113)  # EHOSTUNREACH
        self.wires.append(Wire())
        self._decoder.clear()
        return self.wires[-1]

    @property
    def wire(self) -> Wire:
        return self.wires[-1]

    def run(self) -> None:
        """Answer all that the client has written so far."""
        if not self.wires or self.silent:
            return
        wire = self.wire
        self._decoder.feed(bytes(wire.written))
        wire.written.clear()
        while (packet := self._decoder.take()) is not None:
            self._answer(wire, packet[0], packet[1])

    def _answer(self, wire: Wire, first: int, body: bytes) -> None:
        kind = first >> 4
        if kind == packets.CONNECT:
            self.connects.append(packets.read_connect(body))
            wire.incoming += packets.connack(self.code)
        elif kind == packets.SUBSCRIBE:
            pid, topics = packets.read_subscribe(body)
            wire.incoming += packets.suback(pid, [self.grant] * len(topics))
        elif kind == packets.PINGREQ:
            self.pings += 1
            wire.incoming += packets.PONG
        elif kind == packets.PUBLISH:
            topic, payload, qos, retain, _, pid = packets.read_publish(first, body)
            self.published.append((topic, payload, retain))
            if qos:
                wire.incoming += packets.puback(pid)
        elif kind == packets.PUBACK:
            self.acked.append(packets.number(body))

    def send(self, topic: str, payload: bytes, qos: int = 0, retain: bool = False) -> None:
        """Deliver a message to the client."""
        self._pid += 1
        self.wire.incoming += packets.publish(topic, payload, qos, retain, False, self._pid if qos else 0)

    def taken(self, what: str) -> list[dict[str, Any]]:
        """JSON of all published so far on emberdraft/1/*/what, taken out of the list."""
        hits = [entry for entry in self.published if entry[0].split("/", 3)[3] == what]
        self.published = deque(entry for entry in self.published if entry not in hits)
        return [json.loads(payload) for _, payload, _ in hits]


class Plain:
    """Attributes by keyword."""

    def __init__(self, **values: Any) -> None:
        self.__dict__.update(values)


def inputs(**changed: Any) -> Plain:
    values: dict[str, Any] = {
        "pit_c": 121.02,
        "pit_fault": "",
        "stone_c": None,
        "stone_fault": "open",
        "core_c": [20.5, None],
        "core_fault": ["", "absent"],
        "board_c": 31.5,
    }
    return Plain(**{**values, **changed})


def outputs(**changed: Any) -> Plain:
    values: dict[str, Any] = {
        "mode": "hold",
        "phase": "slow",
        "why": "steady",
        "lid_open": False,
        "target_c": 121.0,
        "ref_c": 121.0,
        "duty": 0.21,
        "drive": 0.3,
        "opening": 0.45,
        "p": 0.05,
        "i": 0.16,
        "d": -0.012,
        "ff": 0.0,
        "fire": 0.5,
    }
    return Plain(**{**values, **changed})


class Controller:
    """What a session needs of the controller; remembers the orders it was given."""

    def __init__(self) -> None:
        self.alerts: dict[str, Plain] = {}
        self.orders: list[tuple[str, dict[str, Any]]] = []
        self.answer = ("", "")
        self.gains = {"kp": 0.01, "ti_s": 600.0}

    def order(self, name: str, args: dict[str, Any], now_ms: int) -> tuple[str, str]:
        self.orders.append((name, args))
        return self.answer

    def tuning(self) -> dict[str, float]:
        return self.gains


class Board:
    """Client, spool and session together at one scripted peer, ticking once a second."""

    def __init__(self, capacity: int = 600, boot: str = "aa11bb22", **client: Any) -> None:
        self.peer = Peer()
        self.controller = Controller()
        self.spool = Spool(capacity, boot)
        self.client = MqttClient(
            self.peer.open,
            "h",
            1883,
            "c",
            keep_alive_s=10,
            subscriptions=subscriptions("test"),
            chance=lambda: 1.0,
            **client,
        )
        info = {"firmware": "0.1.0", "sensors": {"pit": "thermocouple K"}, "limits": {"pit_c": 350}}
        self.session = LinkSession(self.client, self.spool, self.controller, "test", boot, info)
        self.now_ms = 0

    def poll(self, times: int = 1, step_ms: int = 50) -> None:
        for _ in range(times):
            self.session.poll(self.now_ms)
            self.peer.run()
            self.now_ms += step_ms

    @contextmanager
    def outage(self) -> Iterator[None]:
        """The network is away inside the block."""
        self.peer.gone = True
        self.peer.wire.error = OSError(104)  # ECONNRESET
        yield
        self.peer.gone = False

    def second(self) -> None:
        """One tick: a reading into the spool, then twenty polls."""
        self.spool.add_reading(self.now_ms, outputs(), inputs())
        self.poll(20)

    def seconds(self, count: int) -> None:
        for _ in range(count):
            self.second()

    def ack(self, seq: int, boot: str = "aa11bb22") -> None:
        self.peer.send("emberdraft/1/test/ack", json.dumps({"boot": boot, "seq": seq}).encode())

    def order(self, **changed: Any) -> None:
        order = {"n": 1, "boot": "aa11bb22", "until_ms": 10**9, "name": "target", "args": {"target_c": 120}}
        self.peer.send("emberdraft/1/test/order", json.dumps({**order, **changed}).encode(), qos=1)
