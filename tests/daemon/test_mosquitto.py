"""The folder that `emberdraft broker write` makes, in front of a real Mosquitto: who may read and write what.

What each role should be able to do is not taken from the code that writes the list: a board may say what the table of
topics in docs/reference/wire.md says comes from a board, of its own cooker, and hear what comes from the host; the host
the other way round; a viewer may hear what a board says but no replies; nobody else anything. What the host tells
by the Homie convention and to hubs is the host's to write and the viewer's to read; a `set` of it is nobody's.
"""

from __future__ import annotations

import os
import re
import signal
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import paho.mqtt.client as mqtt
import pytest

from emberdraft import cli
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.homie import HomieBridge
from emberdraft.deploy import mosquitto as written
from emberdraft.errors import UserError
from tests.daemon.test_homie import state
from tests.mosquitto import COOKERS, HOST, Mosquitto
from tests.proof.fixture import Proof
from tests.waiting import CAP_S, until

OWN, OTHER = COOKERS
WIRE = (Path(__file__).parents[2] / "docs" / "reference" / "wire.md").read_text(encoding="utf-8")
TABLE = re.findall(r"^\| `([a-z]+(?:/<id>)?)` \| (board|host)", WIRE.split("## Fields that return")[0], re.MULTILINE)
FROM_BOARD = [what.replace("<id>", "pull") for what, who in TABLE if who == "board"]
FROM_HOST = [what for what, who in TABLE if who == "host"]
AMONG_HOSTS = ["keeper"]
TOPICS = [
    *(f"emberdraft/1/{cooker}/{what}" for cooker in COOKERS for what in (*FROM_BOARD, *FROM_HOST, "settings")),
    *(f"emberdraft/2/{OWN}/{what}" for what in ("order", "reply", "reading", "ack")),
    "homie/5/emberdraft-test/$state",
    "homie/5/emberdraft-test/cooker/pit",
    "homie/4/emberdraft-test/$state",
    "hubs/sensor/emberdraft-test/pit/config",
    "hubs/sensor/emberdraft-test/pit/set",
    "emberdraft/1",
    "elsewhere/test",
    "$SYS/broker/uptime",
]
ROLES = ["host", "viewer", OWN, OTHER, "a stranger", "nobody"]
END = "end/of/test"


def told_to_others(topic: str) -> bool:
    return topic.startswith("homie/5/") or (topic.startswith("hubs/") and topic.endswith("/config"))


def may_write(role: str, topic: str) -> bool:
    if told_to_others(topic):
        return role == "host"
    _, version, cooker, what = (*topic.split("/", 3), "", "", "")[:4]
    if not topic.startswith("emberdraft/") or version not in ("1", "2"):
        return False
    if role == "host":
        return version == "1" and what in FROM_HOST
    return role == cooker and (what in FROM_BOARD if version == "1" else what == "reply")


def may_read(role: str, topic: str) -> bool:
    if told_to_others(topic):
        return role == "viewer"
    _, version, cooker, what = (*topic.split("/", 3), "", "", "")[:4]
    if not topic.startswith("emberdraft/") or version not in ("1", "2"):
        return False
    if role == "host":
        return what in FROM_BOARD + AMONG_HOSTS  # of any version, to be able to name it
    if role == "viewer":
        return version == "1" and what in FROM_BOARD and what != "reply"
    for_board = [each for each in FROM_HOST if each not in AMONG_HOSTS]
    return role == cooker and (what in for_board if version == "1" else what == "order")


class Caller:
    """One client with what it heard."""

    def __init__(self, address: BrokerAddress, filters: tuple[str, ...] = ("#", "$SYS/#")) -> None:
        self.heard: list[tuple[str, bytes]] = []
        self.code: Any = None
        self._ready = 0
        self.client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv311)
        if address.user is not None:
            self.client.username_pw_set(address.user, address.password)
        self.client.on_connect = self._on_connect
        self.client.on_subscribe = self._on_subscribe
        self.client.on_message = lambda _c, _d, message: self.heard.append((message.topic, message.payload))
        self._filters = filters
        self.client.connect(address.host, address.port)
        self.client.loop_start()
        until(lambda: self.code is not None)
        if not self.code.is_failure:
            until(lambda: self._ready)

    def _on_connect(self, client: Any, _data: Any, _flags: Any, code: Any, _properties: Any) -> None:
        self.code = code
        if not code.is_failure:
            client.subscribe([(each, 1) for each in self._filters])

    def _on_subscribe(self, *_more: Any) -> None:
        self._ready += 1

    def say(self, topic: str, payload: bytes) -> None:
        self.client.publish(topic, payload, 1).wait_for_publish(CAP_S)

    def round_trip(self) -> None:
        """What the broker sent before has come: its answers are in order."""
        if not self.code.is_failure:
            before = self._ready
            self.client.subscribe(END)
            until(lambda: self._ready > before)

    def topics(self) -> set[str]:
        return {topic for topic, payload in self.heard if payload.startswith(b"matrix") or topic.startswith("$SYS")}

    def close(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


def is_let_in(address: BrokerAddress) -> bool:
    caller = Caller(address)
    caller.close()
    return not caller.code.is_failure


@pytest.fixture(scope="module")
def broker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Mosquitto]:
    """One broker, with an observer of the test who may do everything."""
    broker = Mosquitto(tmp_path_factory.mktemp("mosquitto") / "broker", discovery="hubs")
    salt = b"twelve bytes"
    with (broker.folder / "passwords").open("a") as file:
        file.write(f"observer:{written.hashed('seen', salt)}\n")
    with (broker.folder / "acl").open("a") as file:
        file.write("\nuser observer\ntopic readwrite #\ntopic read $SYS/#\n")
    broker.start()
    yield broker
    broker.stop()


def as_role(broker: Mosquitto, role: str) -> BrokerAddress:
    if role == "nobody":
        return BrokerAddress(HOST, broker.plain_port)
    if role == "a stranger":
        return BrokerAddress(HOST, broker.plain_port, "stranger", "guess")
    return broker.as_user(role)


def observer(broker: Mosquitto) -> Caller:
    return Caller(BrokerAddress(HOST, broker.plain_port, "observer", "seen"))


def test_the_table_of_topics_was_read() -> None:
    assert set(FROM_BOARD) == {"link", "info", "tuning", "alert/pull", "reading", "event", "reply"}
    assert set(FROM_HOST) == {"order", "ack", "keeper"}


def written_by(broker: Mosquitto, role: str) -> set[str]:
    """Topics on which what this role publishes comes out."""
    watcher, caller = observer(broker), Caller(as_role(broker, role))
    if not caller.code.is_failure:
        for topic in TOPICS:
            caller.say(topic, b"matrix " + topic.encode())
    watcher.say(END, b"")
    until(lambda: (END, b"") in watcher.heard)
    caller.close()
    watcher.close()
    return {topic for topic in watcher.topics() if not topic.startswith("$SYS")}


def read_by(broker: Mosquitto, role: str) -> set[str]:
    """Topics that reach this role, which listens to everything and to each by name."""
    caller = Caller(as_role(broker, role), ("#", "$SYS/#", *TOPICS))
    watcher = observer(broker)
    for topic in TOPICS[:-1]:
        watcher.say(topic, b"matrix " + topic.encode())
    until(lambda: len(watcher.topics() & set(TOPICS)) >= len(TOPICS) - 1)
    caller.round_trip()  # the broker has sent the watcher's copies; those of this role went out with them
    watcher.close()
    caller.close()
    return caller.topics()


def differences(broker: Mosquitto, role: str) -> list[str]:
    """Cells of the table that are not as they should be."""
    wrote, read = written_by(broker, role), read_by(broker, role)
    wrong = [f"write {topic}" for topic in TOPICS if (topic in wrote) != may_write(role, topic)]
    return wrong + [f"read {topic}" for topic in TOPICS if (topic in read) != may_read(role, topic)]


@pytest.mark.parametrize("role", ROLES)
def test_each_role_reads_and_writes_its_topics_and_no_other(broker: Mosquitto, role: str) -> None:
    assert differences(broker, role) == []


@pytest.mark.prove("Security: roles")
def test_the_whole_matrix(broker: Mosquitto, proof: Proof) -> None:
    cells = 2 * len(ROLES) * len(TOPICS)
    wrong = [f"{role}: {each}" for role in ROLES for each in differences(broker, role)]
    name = "roles x topics x read and write at Mosquitto, other than the table says"
    proof.promise(name, len(wrong), equals=0, note=f"of {cells}; {wrong or 'none'}")


def test_the_bridge_tells_through_the_hosts_rights_all_that_a_viewer_needs(broker: Mosquitto) -> None:
    """The will too: Mosquitto lets a client with a will in and drops the will if it may not be written."""
    viewer = Caller(broker.as_user("viewer"), ("homie/5/#", "hubs/#"))
    bridge = HomieBridge(broker.as_user("host"), "test", state, "hubs").start()
    ready = ("homie/5/emberdraft-test/$state", b"ready")
    until(lambda: ready in viewer.heard)
    names = {topic for topic, payload in viewer.heard if payload}
    assert "homie/5/emberdraft-test/cooker/pit" in names
    assert "hubs/sensor/emberdraft-test/pit/config" in names
    bridge._client.socket().shutdown(2)  # as a power cut would: no goodbye
    until(lambda: (ready[0], b"lost") in viewer.heard)
    bridge.stop()
    viewer.close()


@pytest.mark.parametrize("role", ["a stranger", "nobody"])
def test_who_has_no_password_is_not_let_in(broker: Mosquitto, role: str) -> None:
    caller = Caller(as_role(broker, role))
    assert caller.code.is_failure
    caller.close()


class Keeps:
    """A host whose session outlasts its connection; `heard` is what came."""

    def __init__(self, address: BrokerAddress) -> None:
        self.heard: list[bytes] = []
        ready: list[int] = []
        self._client = mqtt.Client(
            mqtt.CallbackAPIVersion.VERSION2, "keeps", clean_session=False, protocol=mqtt.MQTTv311
        )
        self._client.username_pw_set(address.user, address.password)
        self._client.on_connect = lambda client, *_more: client.subscribe(f"emberdraft/1/{OWN}/reply", 1)
        self._client.on_subscribe = lambda *_more: ready.append(1)
        self._client.on_message = lambda _c, _d, message: self.heard.append(message.payload)
        self._client.connect(address.host, address.port)
        self._client.loop_start()
        until(lambda: ready)

    def close(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


def test_messages_of_quality_1_outlast_a_killed_broker(tmp_path: Path) -> None:
    broker = Mosquitto(tmp_path / "broker")
    address = broker.start()
    Keeps(address).close()
    board = Caller(broker.as_user(OWN), (f"emberdraft/1/{OWN}/ack",))
    for k in range(50):
        board.say(f"emberdraft/1/{OWN}/reply", b"reply %d" % k)
    board.close()
    disk = broker.folder / "data" / "mosquitto.db"
    until(lambda: disk.exists() and b"reply 49" in disk.read_bytes())
    os.kill(broker.pid, signal.SIGKILL)
    broker.stop()
    broker.start()
    again = Keeps(address)
    until(lambda: len(again.heard) >= 50)
    assert again.heard == [b"reply %d" % k for k in range(50)]
    again.close()
    broker.stop()


# ---- the folder -----------------------------------------------------------------------------


def test_each_folder_has_its_own_secrets_that_nobody_else_can_read(tmp_path: Path) -> None:
    folders = [tmp_path / name for name in ("a", "b")]
    keys = [written.write_folder(folder, HOST, COOKERS) for folder in folders]
    assert set(keys[0]) == {"host", "viewer", *COOKERS}
    words = [word for each in keys for word in each.values()]
    assert len(set(words)) == len(words) and all(len(word) >= 22 for word in words)
    for path in folders[0].iterdir():
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0 or path.name == "data"
    assert stat.S_IMODE(folders[0].stat().st_mode) == 0o700
    plain = "".join((folders[0] / name).read_text() for name in ("mosquitto.conf", "acl", "passwords"))
    assert not any(word in plain for word in words)
    assert "1883" not in plain  # no listener without TLS unless it is asked for


def test_nothing_is_written_over(tmp_path: Path) -> None:
    written.write_folder(tmp_path / "b", HOST, COOKERS)
    before = {path.name: path.read_bytes() for path in (tmp_path / "b").iterdir() if path.is_file()}
    with pytest.raises(UserError, match="not empty"):
        written.write_folder(tmp_path / "b", HOST, COOKERS)
    assert before == {path.name: path.read_bytes() for path in (tmp_path / "b").iterdir() if path.is_file()}


@pytest.mark.parametrize("cooker", ["host", "viewer", "Yard", "a/b", "+", ""])
def test_a_cooker_that_would_get_other_rights_is_refused(tmp_path: Path, cooker: str) -> None:
    with pytest.raises(UserError):
        written.write_folder(tmp_path / "b", HOST, [cooker])
    assert not (tmp_path / "b").exists()


def test_a_board_that_is_added_is_let_in_after_a_word_to_the_broker(tmp_path: Path) -> None:
    broker = Mosquitto(tmp_path / "broker")
    broker.start()
    broker.keys["late"] = written.add_board(broker.folder, "late")
    with pytest.raises(UserError, match="has a password already"):
        written.add_board(broker.folder, "late")
    os.kill(broker.pid, signal.SIGHUP)
    until(lambda: is_let_in(broker.as_user("late")))
    broker.stop()


def test_the_verb_says_what_to_do_and_no_password(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "b"
    assert cli.main(["broker", "write", str(folder), "--address", "192.168.1.20", "--cooker", "yard"]) == 0
    told = capsys.readouterr().out
    assert "host-password" in told and "8883" in told and "broker_name=emberdraft-broker" in told
    assert not any(word in told for word in written.read_keys(folder).values())
    assert "config" not in (folder / "acl").read_text()
    assert cli.main(["broker", "add", str(folder), "barn"]) == 0
    assert set(written.read_keys(folder)) == {"host", "viewer", "yard", "barn"}
    assert cli.main(["broker", "write", str(folder), "--address", "192.168.1.20"]) == 1
    assert cli.main(["broker", "write", str(tmp_path / "c"), "--address", "my-host"]) == 1
    wrong = ["--address", "192.168.1.20", "--discovery", "a\nuser host\ntopic write #"]
    assert cli.main(["broker", "write", str(tmp_path / "c"), *wrong]) == 1
    assert not (tmp_path / "c").exists()
