"""The host's connection to a broker: what comes goes on a queue, and nothing else happens here.

The network library calls back on its own thread, and an exception there ends that thread while
`is_connected()` goes on saying yes. So the callbacks do nothing that can fail.
"""

from __future__ import annotations

import queue
import secrets
from dataclasses import dataclass
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from emberboard.link import messages
from emberdraft.clock import Clock, steady
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.tally import Tallies

QUEUE_LENGTH = 4096
LARGEST_MESSAGE = 16 * 1024
KEEP_ALIVE_S = 10
LONGEST_PAUSE_S = 15

HEARD = ("link", "info", "reading", "event", "tuning", "reply", "alert/+", "keeper")


@dataclass(frozen=True)
class Message:
    """One message as it came; `at_s` is our clock at its arrival."""

    at_s: float
    topic: str
    payload: bytes
    retained: bool


class BrokerLine:
    """Connected for ever; `queue` holds what came, `trouble` says in words what is wrong, or ''."""

    def __init__(self, address: BrokerAddress, cookers: tuple[str, ...], clock: Clock, tallies: Tallies) -> None:
        self.address = address
        self.queue: queue.Queue[Message] = queue.Queue(QUEUE_LENGTH)
        self.trouble = "not connected to the broker yet"
        self.since_s: float | None = None  # connected, by `steady`; None: not connected
        self.steady = steady()[0]
        self._let_in = False
        self._where = f"{address.host}:{address.port}"
        self._cookers = cookers
        self._clock = clock
        self._tallies = tallies
        self._client = self._make_client()

    def start(self) -> None:
        """Connect in the background; a broker that is not there yet is waited for."""
        self._client.connect_async(self.address.host, self.address.port, keepalive=KEEP_ALIVE_S)
        self._client.loop_start()

    def stop(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()

    def publish(self, topic: str, payload: bytes, qos: int = 0, retain: bool = False) -> None:
        """Without a connection nothing is kept for later: acks are told anew, orders sent again."""
        if self._client.is_connected():
            self._client.publish(topic, payload, qos, retain)

    def _make_client(self) -> paho.Client:
        client = paho.Client(
            CallbackAPIVersion.VERSION2,
            client_id=f"emberdraft-host-{secrets.token_hex(4)}",
            protocol=paho.MQTTv311,
            clean_session=True,
        )
        if self.address.user is not None:
            client.username_pw_set(self.address.user, self.address.password)
        if self.address.ca_file:
            client.tls_set(ca_certs=self.address.ca_file)  # certificate and name are checked: paho's default
        client.reconnect_delay_set(1, LONGEST_PAUSE_S)
        client.on_connect = self._on_connect
        client.on_disconnect = self._on_disconnect
        client.on_connect_fail = self._on_connect_fail
        client.on_message = self._on_message
        return client

    def _on_connect(self, client: paho.Client, _data: Any, _flags: Any, code: Any, _properties: Any) -> None:
        if code.is_failure:
            self.trouble = f"broker at {self._where}: it refuses us ({code}), check user and password"
            return
        self.trouble, self._let_in, self.since_s = "", True, self.steady()
        for cooker in self._cookers or ("+",):
            client.subscribe([(messages.any_version(cooker, what), 1) for what in HEARD])

    def _on_disconnect(self, _client: Any, _data: Any, _flags: Any, _code: Any, _properties: Any) -> None:
        what = "the connection broke" if self._let_in else "it closes before it lets us in: check user and password"
        self.trouble, self._let_in = f"broker at {self._where}: {what}; trying again", False
        self.since_s = None

    def _on_connect_fail(self, _client: Any, _data: Any) -> None:
        self.trouble = f"broker at {self._where}: nobody answers, check host and port and that it runs; trying again"

    def _on_message(self, _client: Any, _data: Any, message: paho.MQTTMessage) -> None:
        if len(message.payload) > LARGEST_MESSAGE:
            self._tallies.add("too_large", f"{message.topic}: {len(message.payload)} bytes")
            return
        entry = Message(self._clock.now_s(), message.topic, bytes(message.payload), message.retain)
        try:
            self.queue.put_nowait(entry)
        except queue.Full:
            self._tallies.add("overrun", message.topic)
