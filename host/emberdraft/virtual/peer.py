"""A broker and a host in one object, without sockets or threads: the far end of a lock-step run.

It speaks real MQTT to the board, byte by byte, with the link's own packets. What the board
publishes is kept in `received`; `publish` sends to the board. It acknowledges the board's records
once a second if told to, as the host's store would.
"""

from __future__ import annotations

import json
from typing import Any

from emberboard.link import messages
from emberboard.link import packets as untyped_packets

packets: Any = untyped_packets  # the board's own code, without hints


class Received:
    """Which records of one start have come; `mark` is the lowest that has neither come nor is gone for good."""

    def __init__(self, oldest: int) -> None:
        self.mark = oldest
        self.news = False
        self._above: set[int] = set()

    def add(self, row: dict[str, Any]) -> None:
        """A reading or an event."""
        self.news = True
        self.mark = max(self.mark, row["oldest"])
        if row["seq"] >= self.mark:
            self._above.add(row["seq"])
        while self.mark in self._above:
            self._above.remove(self.mark)
            self.mark += 1


class LockStepPeer:
    """`received` is a list of (topic, payload) that the caller drains; newest last."""

    def __init__(self, *, acknowledges: bool = True) -> None:
        self.received: list[tuple[str, bytes]] = []
        self.outgoing = bytearray()
        self.online = True
        self.down = False  # no connection is to be had, and the one there was is reset
        self.connections = 0
        self._acknowledges = acknowledges
        self._decoder = packets.Decoder(8192)
        self._filters: list[str] = []
        self._pid = 0
        self._received: dict[tuple[str, str], Received] = {}

    def publish(self, topic: str, payload: bytes, qos: int = 1) -> None:
        """Send a message to the board, if it has subscribed to its topic."""
        if any(matches(each, topic) for each in self._filters):
            self._pid = self._pid % 65535 + 1
            self.outgoing += packets.publish(topic, payload, qos, pid=self._pid if qos else 0)

    def take_received(self) -> list[tuple[str, bytes]]:
        """What has come since the last call."""
        out, self.received = self.received, []
        return out

    def acknowledge(self) -> None:
        """Say how far the records have come, one message a boot."""
        for (cooker, boot), rows in self._received.items():
            if rows.news:
                self.publish(messages.topic(cooker, "ack"), messages.ack(boot, rows.mark), 0)
            rows.news = False

    # ---- the tunnel's side ----------------------------------------------------------------

    def opened(self) -> None:
        """A board connects."""
        self.connections += 1
        self._decoder.clear()
        self._filters.clear()

    def closed(self) -> None:
        """The connection is gone."""
        self._filters.clear()
        self.outgoing.clear()

    def take(self, data: bytes) -> None:
        """Bytes from the board, cut as they come."""
        view = memoryview(data)
        while view:
            view = view[self._decoder.feed(view) :]
            while (packet := self._decoder.take()) is not None:
                self._handle(packet[0], packet[1])

    def _handle(self, first: int, body: bytes) -> None:
        kind = first >> 4
        if not self.online:
            return
        if kind == packets.CONNECT:
            packets.read_connect(body)
            self.outgoing += packets.connack(0)
        elif kind == packets.SUBSCRIBE:
            pid, topics = packets.read_subscribe(body)
            self._filters += [name for name, _ in topics]
            self.outgoing += packets.suback(pid, [qos for _, qos in topics])
        elif kind == packets.PINGREQ:
            self.outgoing += packets.PONG
        elif kind == packets.PUBLISH:
            self._on_publish(first, body)

    def _on_publish(self, first: int, body: bytes) -> None:
        topic, payload, qos, _, _, pid = packets.read_publish(first, body)
        if qos:
            self.outgoing += packets.puback(pid)
        self.received.append((topic, payload))
        if self._acknowledges and topic.endswith(("/reading", "/event")):
            row: dict[str, Any] = json.loads(payload)
            self._received.setdefault((topic.split("/")[2], row["boot"]), Received(row["oldest"])).add(row)


def matches(pattern: str, topic: str) -> bool:
    """Whether a topic filter of MQTT matches (3.1.1, section 4.7); no `#` inside."""
    wanted, given = pattern.split("/"), topic.split("/")
    if wanted[-1] == "#":
        return given[: len(wanted) - 1] == wanted[:-1]
    return len(wanted) == len(given) and all(a in ("+", b) for a, b in zip(wanted, given, strict=True))
