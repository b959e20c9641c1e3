"""The state for home automation, by the Homie 5 convention (homieiot.github.io): reading only, nothing can be set.

Each cooker is a device `homie/5/emberdraft-<cooker>`. Announced as the convention asks: `$state` init, `$description`,
the values, `$state` ready; the will says lost; before a clean end disconnected. Everything is retained. Raising heat
needs a person at the cooker, so no property is settable and nothing is subscribed to.

Optional besides: the discovery messages that several hubs read (`<prefix>/<component>/<device>/<property>/config`).
"""

from __future__ import annotations

import contextlib
import json
import logging
import re
import secrets
import threading
import time
from collections.abc import Callable, Sequence
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.plain import Fact, facts

log = logging.getLogger(__name__)

EVERY_S = 5.0
GOODBYE_S = 2.0
QOS = 2  # what the convention recommends: a value sent again never comes after a newer one
ROOT = "homie/5"
NODE = "cooker"
DATATYPES = {"c": "float", "share": "float", "bool": "boolean", "word": "string", "count": "integer"}
OF_THE_HOST = ("heard", "cooking", "phase", "alarms")  # known without the board
UNITS = {"c": "°C", "share": "%", "count": "#"}
Row = dict[str, Any]


def device_id(cooker: str) -> str:
    """An id of the convention: a to z, 0 to 9 and hyphens only."""
    return "emberdraft-" + (re.sub(r"[^a-z0-9]+", "-", cooker.lower()).strip("-") or "cooker")


def prefix_trouble(prefix: str) -> str:
    """'' for a prefix of discovery messages that can stand in a topic and in a broker's list of rights."""
    good = re.fullmatch(r"[A-Za-z0-9_-]+(/[A-Za-z0-9_-]+)*", prefix) is not None and len(prefix) <= 64
    return "" if good else f"{prefix!r}: letters, digits, _ and - would be right, such as homeassistant"


def description(cooker: str, found: Sequence[Fact], version: int = 0) -> Row:
    """The device's `$description`; `version` must rise whenever anything else in it is another."""
    node = {"name": "Cooker", "properties": {fact.key: _property(fact) for fact in found}}
    return {"homie": "5.0", "version": version, "name": f"Emberdraft, {cooker}", "nodes": {NODE: node}}


def _property(fact: Fact) -> Row:
    told: Row = {"name": fact.label, "datatype": DATATYPES[fact.kind], "settable": False, "retained": True}
    if fact.kind in UNITS:
        told["unit"] = UNITS[fact.kind]
    if fact.kind == "share":
        told["format"] = "0:100"
    return told


def payload(fact: Fact) -> bytes:
    """The value as the convention writes it; b'' (the topic is emptied) while it is not known."""
    if fact.value is None:
        return b""
    if fact.kind == "bool":
        return b"true" if fact.value else b"false"
    if fact.kind == "word":
        return str(fact.value).encode() or b"\x00"
    value = float(fact.value)
    return (
        f"{value:.0f}".encode()
        if fact.kind == "count"
        else f"{100.0 * value if fact.kind == 'share' else value:.1f}".encode()
    )


def discovery(prefix: str, cooker: str, found: Sequence[Fact]) -> dict[str, Row]:
    """Topic and message of each property for hubs that read discovery messages."""
    device = device_id(cooker)
    return {
        f"{prefix}/{'binary_sensor' if fact.kind == 'bool' else 'sensor'}/{device}/{fact.key}/config": {
            "name": fact.label,
            "unique_id": f"{device}-{fact.key}",
            "state_topic": f"{ROOT}/{device}/{NODE}/{fact.key}",
            # A hub passes over an empty message and would go on showing the last number.
            "value_template": "{{ value if value else 'None' }}",
            "availability_mode": "all",
            "availability": _available(f"{ROOT}/{device}", fact),
            "device": {"identifiers": [device], "name": f"Emberdraft, {cooker}"},
            **_kind_for_hubs(fact.kind),
        }
        for fact in found
    }


def _available(base: str, fact: Fact) -> list[Row]:
    """While the bridge runs, and of what comes from the board while the board is heard."""
    ways = [("$state", "ready")] + ([] if fact.key in OF_THE_HOST else [(f"{NODE}/heard", "true")])
    return [
        {"topic": f"{base}/{topic}", "value_template": f"{{{{ 'online' if value == '{word}' else 'offline' }}}}"}
        for topic, word in ways
    ]


def _kind_for_hubs(kind: str) -> Row:
    if kind == "bool":
        return {"payload_on": "true", "payload_off": "false"}
    if kind not in ("c", "share"):
        return {}
    told = {"unit_of_measurement": UNITS[kind], "state_class": "measurement"}
    return told | ({"device_class": "temperature"} if kind == "c" else {})


def _packed(told: Row) -> bytes:
    return json.dumps(told, ensure_ascii=False).encode()


class HomieBridge:
    """One cooker at a broker. `now` gives the service's state; `tick` publishes what has changed."""

    def __init__(self, address: BrokerAddress, cooker: str, now: Callable[[], Row], prefix: str = "") -> None:
        self._address, self._cooker, self._now, self._prefix = address, cooker, now, prefix
        self._base = f"{ROOT}/{device_id(cooker)}"
        self._told: dict[str, bytes] = {}
        self._ever: set[str] = set()  # values and configurations that were announced last
        self._described: Row = {}
        self._version = 0
        self._stop = threading.Event()
        self._fresh = threading.Event()
        self._client = self._make_client()
        self._thread = threading.Thread(target=self._run, name="homie", daemon=True)

    def start(self) -> HomieBridge:
        """Connect in the background; a broker that is not there yet is waited for."""
        self._client.connect_async(self._address.host, self._address.port, keepalive=30)
        self._client.loop_start()
        self._thread.start()
        return self

    def stop(self) -> None:
        """Say disconnected, then go."""
        self._stop.set()
        self._fresh.set()
        self._thread.join(2.0 * EVERY_S)
        # A connection may break at any moment, also after it was asked for: then the will says lost, and that is all.
        with contextlib.suppress(RuntimeError, ValueError):
            self._client.publish(f"{self._base}/$state", b"disconnected", QOS, True).wait_for_publish(GOODBYE_S)
        self._client.disconnect()
        self._client.loop_stop()

    def tick(self) -> None:
        """Announce anew where the description is another or the connection is new; else publish what has changed."""
        if not self._client.is_connected():
            return
        found = facts(self._now())
        if description(self._cooker, found) != self._described:
            self._announce(found)
        else:
            self._values(found)

    def _announce(self, found: Sequence[Fact]) -> None:
        self._version = max(self._version + 1, int(time.time()))  # a time rises over a restart too
        told = description(self._cooker, found, self._version)
        self._put(f"{self._base}/$state", b"init")
        self._put(f"{self._base}/$description", _packed(told))
        self._values(found)
        configs = discovery(self._prefix, self._cooker, found) if self._prefix else {}
        for topic, config in configs.items():
            self._put(topic, _packed(config))
        there = {f"{self._base}/{NODE}/{fact.key}" for fact in found} | set(configs)
        for topic in sorted(self._ever - there):
            self._put(topic, b"")
        self._ever = there
        self._put(f"{self._base}/$state", b"ready")
        self._described = description(self._cooker, found)

    def _values(self, found: Sequence[Fact]) -> None:
        for fact in found:
            self._put(f"{self._base}/{NODE}/{fact.key}", payload(fact))

    def _put(self, topic: str, message: bytes) -> None:
        if self._told.get(topic) != message:
            self._client.publish(topic, message, QOS, True)
            self._told[topic] = message

    def _run(self) -> None:
        while not self._stop.is_set():
            self._fresh.wait(EVERY_S)
            if self._fresh.is_set():
                self._fresh.clear()
                self._told, self._described = {}, {}  # a new connection: a broker may have forgotten
            if not self._stop.is_set():
                self._try_tick()

    def _try_tick(self) -> None:
        """One state that cannot be made must not end the bridge: the broker would go on saying ready, to old values."""
        try:
            self.tick()
        except Exception:
            log.exception("the state could not be published")

    def _make_client(self) -> paho.Client:
        client = paho.Client(
            CallbackAPIVersion.VERSION2,
            client_id=f"emberdraft-homie-{secrets.token_hex(4)}",
            protocol=paho.MQTTv311,
            clean_session=True,
        )
        if self._address.user is not None:
            client.username_pw_set(self._address.user, self._address.password)
        if self._address.ca_file:
            client.tls_set(ca_certs=self._address.ca_file)
        client.will_set(f"{self._base}/$state", b"lost", QOS, True)
        client.on_connect = self._on_connect
        return client

    def _on_connect(self, _client: Any, _data: Any, _flags: Any, code: Any, _properties: Any) -> None:
        if not code.is_failure:
            self._fresh.set()
