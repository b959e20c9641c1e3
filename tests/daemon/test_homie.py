"""The Homie bridge against the convention's published rules (homieiot/convention, version 5), at a real broker.

Rules read there: ids of a-z 0-9 and hyphens; $state init, then $description, then ready; disconnected before a clean
end, lost by the will; all retained; float payloads plain numbers with a point; booleans exactly true and false;
$description is JSON with `homie` "5.x" and an integer `version` that is higher whenever the document is another, and
changes only in init, disconnected or lost; quality of service 2, and a value of no length is none.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import jinja2
import paho.mqtt.client as paho
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from emberdraft.daemon import homie
from emberdraft.daemon.broker import BrokerAddress, EmbeddedBroker
from emberdraft.daemon.homie import HomieBridge, description, device_id, discovery, payload
from emberdraft.daemon.plain import Fact, facts
from tests.waiting import until

ID = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?")
FLOAT = re.compile(r"-?\d+(\.\d+)?")


def state(**changes: Any) -> dict[str, Any]:
    """A state as GET /api/now gives it, as far as it matters here."""
    rows = [("pit", "Pit", 121.4, "c"), ("core1", "Tempered chop", 41.0, "c"), ("blower", "Blower", 0.42, "share")]
    rows += [("vent_top", "Top vent", 0.25, "share")]
    return {
        **{"cooker": "garden", "link": {"state": "online", "heard_s": 0.4}, "cook": {"id": 1}, "mode": "hold"},
        **{"phase": {"name": "slow"}, "lid_open": False, "number": {"wanted_c": 121.0}, "alarms": []},
        "ledger": [{"key": k, "label": label, "value": v, "unit": unit} for k, label, v, unit in rows],
        **changes,
    }


@pytest.fixture
def broker() -> Iterator[BrokerAddress]:
    embedded = EmbeddedBroker()
    yield embedded.start()
    embedded.stop()


class Listener:
    """Hears everything below a topic, in order."""

    def __init__(self, address: BrokerAddress, topic: str, quality: int = 1) -> None:
        self.heard: list[tuple[str, bytes, bool]] = []
        self.qualities: set[int] = set()
        self._client = paho.Client(CallbackAPIVersion.VERSION2, client_id=f"listener-{id(self)}")
        self._client.username_pw_set(address.user, address.password)
        self._client.on_connect = lambda client, *_: client.subscribe(topic, quality)
        self._client.on_message = self._hear
        self._client.connect(address.host, address.port)
        self._client.loop_start()

    def _hear(self, _client: Any, _data: Any, message: Any) -> None:
        self.heard.append((message.topic, bytes(message.payload), message.retain))
        self.qualities.add(message.qos)

    def wait(self, topic: str, message: bytes, after: int = 0) -> int:
        """Until it came, after so many others; how many came up to it."""

        def place() -> int:
            here = enumerate(self.heard[after:], after + 1)
            return next((n for n, (t, m, _) in here if t.endswith(topic) and m == message), 0)

        return until(place, what=lambda: f"{topic} {message!r} not in {self.heard[after:]}")

    def stop(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(homie, "EVERY_S", 0.1)


def test_a_device_is_announced_told_and_taken_leave_of(broker: BrokerAddress, quick: None) -> None:
    now = state()
    live = Listener(broker, "homie/5/#")
    bridge = HomieBridge(broker, "garden", lambda: now).start()
    live.wait("/$state", b"ready")
    order = [topic.rsplit("/", 1)[1] + "=" + message.decode() for topic, message, _ in live.heard if "$" in topic]
    assert order[0] == "$state=init" and order[1].startswith("$description=") and order[2] == "$state=ready"
    values = {topic.rsplit("/", 1)[1]: message for topic, message, _ in live.heard if "/cooker/" in topic}
    assert values["pit"] == b"121.4" and values["blower"] == b"42.0" and values["lid-open"] == b"false"
    assert values["phase"] == b"slow" and values["alarms"] == b"0"
    now["ledger"][0]["value"] = 122.0
    live.wait("cooker/pit", b"122.0")
    late = Listener(broker, "homie/5/#")
    late.wait("/$state", b"ready")
    assert all(retained for _, message, retained in late.heard if message), "whoever comes later finds everything"
    bridge.stop()
    live.wait("/$state", b"disconnected")
    for listener in (live, late):
        listener.stop()


def test_a_bridge_that_dies_is_lost(broker: BrokerAddress, quick: None) -> None:
    bridge = HomieBridge(broker, "garden", state).start()
    listener = Listener(broker, "homie/5/+/$state")
    listener.wait("/$state", b"ready")
    bridge._client.socket().shutdown(2)  # as a power cut would: no goodbye
    lost = listener.wait("/$state", b"lost")
    again = listener.wait("/$state", b"init", lost)
    listener.wait("/$state", b"ready", again)
    bridge.stop()
    listener.stop()


def test_a_bridge_stops_quietly_while_its_broker_is_away(quick: None) -> None:
    """The broker is gone and the connection not yet known to be: what is asked of it then must not be raised."""
    embedded = EmbeddedBroker()
    bridge = HomieBridge(embedded.start(), "garden", state).start()
    until(bridge._client.is_connected)
    embedded.stop()
    until(lambda: not bridge._client.is_connected())
    bridge._client.is_connected = lambda: True  # type: ignore[method-assign]
    bridge.stop()
    assert not bridge._thread.is_alive()


def test_a_state_that_cannot_be_made_does_not_end_the_bridge(broker: BrokerAddress, quick: None) -> None:
    """A thread that ended would leave `ready` and old values at the broker for ever."""
    faults = iter([RuntimeError("once"), RuntimeError("twice")])

    def now() -> dict[str, Any]:
        for fault in faults:
            raise fault
        return state()

    listener = Listener(broker, "homie/5/+/$state")
    bridge = HomieBridge(broker, "garden", now).start()
    listener.wait("/$state", b"ready")
    bridge.stop()
    listener.stop()


def test_a_piece_that_comes_is_described_while_in_init(broker: BrokerAddress, quick: None) -> None:
    now = state()
    listener = Listener(broker, "homie/5/#")
    bridge = HomieBridge(broker, "garden", lambda: now).start()
    listener.wait("/$state", b"ready")
    first = len(listener.heard)
    now["ledger"] = [row for row in now["ledger"] if row["key"] != "core1"]
    listener.wait("/$state", b"ready", first)
    after = [(topic.rsplit("/", 1)[1], message) for topic, message, _ in listener.heard[first:]]
    names = [name for name, _ in after]
    assert names.index("$description") > after.index(("$state", b"init"))
    assert after.index(("$state", b"ready")) > names.index("$description")
    assert ("core1", b"") in after, "the topic of what is gone is emptied"
    bridge.stop()
    listener.stop()


def test_ids_types_and_values_are_the_conventions() -> None:
    found = facts(state())
    told = description("garden", found)
    assert re.fullmatch(r"5\.\d+", told["homie"]) and isinstance(told["version"], int)
    assert ID.fullmatch(device_id("Garden No. 2"))
    (node,) = told["nodes"].values()
    for fact in found:
        prop = node["properties"][fact.key]
        assert ID.fullmatch(fact.key)
        assert prop["datatype"] in ("float", "boolean", "string", "integer") and prop["settable"] is False
        message = payload(fact).decode()
        if prop["datatype"] == "float" and message:
            assert FLOAT.fullmatch(message)
        if prop["datatype"] == "boolean":
            assert message in ("true", "false")
    assert node["properties"]["pit"]["unit"].encode() == b"\xc2\xb0C"
    json.dumps(told)


def test_what_is_old_or_missing_is_emptied_and_never_a_number() -> None:
    silent = {fact.key: fact for fact in facts(state(link={"state": "silent", "heard_s": 60.0}))}
    assert payload(silent["pit"]) == payload(silent["lid-open"]) == b""
    assert payload(silent["heard"]) == b"false"
    assert payload(Fact("word", "Word", "word", "")) == b"\x00"


def test_a_new_name_is_described_with_a_higher_version(broker: BrokerAddress, quick: None) -> None:
    now = state()
    listener = Listener(broker, "homie/5/#")
    bridge = HomieBridge(broker, "garden", lambda: now).start()
    listener.wait("/$state", b"ready")
    now["ledger"][1]["label"] = "Cold chop"

    def versions() -> list[Any]:
        return [json.loads(message) for topic, message, _ in listener.heard if topic.endswith("$description")]

    until(lambda: len(versions()) == 2)
    told = versions()
    assert told[1]["version"] > told[0]["version"] > 1_700_000_000, "a time, so that it rises over a restart too"
    assert told[1]["nodes"]["cooker"]["properties"]["core1"]["name"] == "Cold chop"
    bridge.stop()
    listener.stop()


def test_all_goes_out_once_and_exactly(broker: BrokerAddress, quick: None) -> None:
    """Quality 2 at the broker of our own too, the will with it."""
    bridge = HomieBridge(broker, "garden", state).start()
    listener = Listener(broker, "homie/5/#", 2)
    listener.wait("/$state", b"ready")
    bridge._client.socket().shutdown(2)
    listener.wait("/$state", b"lost")
    assert listener.qualities == {2}
    bridge.stop()
    listener.stop()


def test_discovery_messages_point_at_the_same_values_and_give_no_command() -> None:
    made = discovery("homeassistant", "garden", facts(state()))
    pit = made["homeassistant/sensor/emberdraft-garden/pit/config"]
    assert pit["state_topic"] == "homie/5/emberdraft-garden/cooker/pit"
    assert (pit["device_class"], pit["unit_of_measurement"]) == ("temperature", "°C")
    lid = made["homeassistant/binary_sensor/emberdraft-garden/lid-open/config"]
    assert (lid["payload_on"], lid["payload_off"]) == ("true", "false")
    assert len({told["unique_id"] for told in made.values()}) == len(made)
    assert not any("command" in key for told in made.values() for key in told)


# What a message may have, as the MQTT integration of a widespread hub checks it (homeassistant 2024.3: the schemas
# DISCOVERY_SCHEMA of its components mqtt.sensor and mqtt.binary_sensor, read; all messages below went through them).
BOTH = {"name", "unique_id", "state_topic", "value_template", "availability", "availability_mode", "device"}
MAY_HAVE = {
    "sensor": BOTH | {"device_class", "state_class", "unit_of_measurement"},
    "binary_sensor": BOTH | {"payload_on", "payload_off"},
}
CONFIG_TOPIC = re.compile(r"homeassistant/(sensor|binary_sensor)/([a-zA-Z0-9_-]+)/([a-zA-Z0-9_-]+)/config")


def test_discovery_messages_have_what_a_hub_takes_and_nothing_else() -> None:
    made = discovery("homeassistant", "garden", facts(state()))
    assert len(made) == 12
    for topic, told in made.items():
        component = CONFIG_TOPIC.fullmatch(topic)[1]  # type: ignore[index]
        assert set(told) <= MAY_HAVE[component]
        assert told["availability_mode"] in ("all", "any", "latest")
        assert all(set(way) == {"topic", "value_template"} for way in told["availability"])
        if "device_class" in told:
            assert (told["device_class"], told["unit_of_measurement"]) == ("temperature", "°C")
        assert told.get("state_class", "measurement") == "measurement"


def test_a_hub_shows_no_number_of_a_silent_board() -> None:
    """An empty message is passed over by a hub; what the template makes of it is its word for not known."""
    made = discovery("homeassistant", "garden", facts(state()))
    pit = made["homeassistant/sensor/emberdraft-garden/pit/config"]
    ways = {way["topic"].rsplit("/", 1)[1]: jinja2.Template(way["value_template"]) for way in pit["availability"]}
    assert ways["$state"].render(value="ready") == ways["heard"].render(value="true") == "online"
    assert {ways["$state"].render(value=word) for word in ("init", "lost", "disconnected", "")} == {"offline"}
    assert ways["heard"].render(value="false") == "offline"
    value = jinja2.Template(pit["value_template"])
    assert (value.render(value="121.4"), value.render(value="")) == ("121.4", "None")
    alarms = made["homeassistant/sensor/emberdraft-garden/alarms/config"]
    assert [way["topic"].rsplit("/", 1)[1] for way in alarms["availability"]] == ["$state"], "told without the board"


def test_nothing_is_subscribed_to(broker: BrokerAddress, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading only: connected and ready, the bridge has asked the broker for nothing, so nothing comes through it."""
    asked: dict[Any, int] = {}
    really = paho.Client.subscribe

    def subscribe(client: paho.Client, *words: Any, **more: Any) -> Any:
        asked[client] = asked.get(client, 0) + 1
        return really(client, *words, **more)

    monkeypatch.setattr(paho.Client, "subscribe", subscribe)
    listener = Listener(broker, "homie/5/#")
    bridge = HomieBridge(broker, "garden", state).start()
    listener.wait("emberdraft-garden/$state", b"ready")
    bridge.stop()
    listener.stop()
    assert asked.get(listener._client) == 1, "what is counted is seen"
    assert bridge._client not in asked
