"""The state for home automation, by the Homie 5 convention (homieiot.github.io): reading only, nothing can be set.

Each cooker is a device `homie/5/emberdraft-<cooker>`. Announced as the convention asks: `$state` init, `$description`,
the values, `$state` ready; the will says lost; before a clean end disconnected. Everything is retained. Raising heat
needs a person at the cooker, so no property is settable and nothing is subscribed to.

Optional besides: the discovery messages that several hubs read (`<prefix>/<component>/<device>/<property>/config`).
"""

from __future__ import annotations

import json
import re
import secrets
import threading
from collections.abc import Callable, Sequence
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.plain import Fact, facts

EVERY_S = 5.0
QOS = 1  # the convention recommends 2; each message is the whole value, so a second copy of it is harmless
ROOT = "homie/5"
NODE = "cooker"
DATATYPES = {"c": "float", "share": "float", "bool": "boolean", "word": "string", "count": "integer"}
UNITS = {"c": "°C", "share": "%", "count": "#"}
Row = dict[str, Any]


def device_id(cooker: str) -> str:
    """An id of the convention: a to z, 0 to 9 and hyphens only."""
    return "emberdraft-" + (re.sub(r"[^a-z0-9]+", "-", cooker.lower()).strip("-") or "cooker")


def description(cooker: str, found: Sequence[Fact]) -> Row:
    """The device's `$description`; `version` changes with the properties it names."""
    properties = {fact.key: _property(fact) for fact in found}
    version = sum((i + 1) * ord(letter) for i, letter in enumerate("".join(properties)))
    node = {"name": "Cooker", "properties": properties}
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
    made = {}
    for fact in found:
        component = "binary_sensor" if fact.kind == "bool" else "sensor"
        told: Row = {
            "name": fact.label,
            "unique_id": f"{device}-{fact.key}",
            "state_topic": f"{ROOT}/{device}/{NODE}/{fact.key}",
            "availability_topic": f"{ROOT}/{device}/$state",
            "availability_template": "{{ 'online' if value == 'ready' else 'offline' }}",
            "device": {"identifiers": [device], "name": f"Emberdraft, {cooker}"},
        }
        told |= {"payload_on": "true", "payload_off": "false"} if component == "binary_sensor" else {}
        told |= (
            {"unit_of_measurement": UNITS[fact.kind], "state_class": "measurement"}
            if fact.kind in ("c", "share")
            else {}
        )
        told |= {"device_class": "temperature"} if fact.kind == "c" else {}
        made[f"{prefix}/{component}/{device}/{fact.key}/config"] = told
    return made


class HomieBridge:
    """One cooker at a broker. `now` gives the service's state; `tick` publishes what has changed."""

    def __init__(self, address: BrokerAddress, cooker: str, now: Callable[[], Row], prefix: str = "") -> None:
        self._address, self._cooker, self._now, self._prefix = address, cooker, now, prefix
        self._base = f"{ROOT}/{device_id(cooker)}"
        self._told: dict[str, bytes] = {}
        self._keys: tuple[str, ...] = ()
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
        if self._client.is_connected():
            self._client.publish(f"{self._base}/$state", b"disconnected", QOS, True).wait_for_publish(2.0)
        self._client.disconnect()
        self._client.loop_stop()

    def tick(self) -> None:
        """Announce anew where the properties are others or the connection is new; else publish what has changed."""
        if not self._client.is_connected():
            return
        found = facts(self._now())
        keys = tuple(fact.key for fact in found)
        if keys != self._keys:
            self._announce(found)
            self._keys = keys
        else:
            self._values(found)

    def _announce(self, found: Sequence[Fact]) -> None:
        gone = set(self._keys) - {fact.key for fact in found}
        self._put(f"{self._base}/$state", b"init")
        self._put(
            f"{self._base}/$description", json.dumps(description(self._cooker, found), ensure_ascii=False).encode()
        )
        for key in sorted(gone):
            self._put(f"{self._base}/{NODE}/{key}", b"")
        self._values(found)
        for topic, told in (discovery(self._prefix, self._cooker, found) if self._prefix else {}).items():
            self._put(topic, json.dumps(told, ensure_ascii=False).encode())
        self._put(f"{self._base}/$state", b"ready")

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
                self._told, self._keys = {}, ()  # a new connection: a broker may have forgotten
            if not self._stop.is_set():
                self.tick()

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
