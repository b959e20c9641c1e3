"""The host as `serve` starts it, on a real broker: garbage is counted and told, and nothing ends of it."""

from __future__ import annotations

import json
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest

from emberdraft.cli import main
from emberdraft.commands.host import Host
from emberdraft.commands.running import running_url
from emberdraft.daemon.broker import BrokerAddress
from tests.mosquitto import Mosquitto
from tests.waiting import CAP_S, until


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    with Host(tmp_path / "cooks.sqlite", "yard") as running:
        yield running


def _publish(address: BrokerAddress, *messages: tuple[str, bytes]) -> None:
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv311)
    client.username_pw_set(address.user, address.password)
    client.connect(address.host, address.port)
    client.loop_start()
    for topic, payload in messages:
        client.publish(topic, payload, qos=1).wait_for_publish(CAP_S)
    client.disconnect()
    client.loop_stop()


def _checks(host: Host) -> dict[str, str]:
    with urllib.request.urlopen(host.page.url + "api/health", timeout=CAP_S) as answer:
        return {check["name"]: check["text"] for check in json.load(answer)["health"]["checks"]}


def _wait_for(host: Host, name: str) -> str:
    return until(lambda: _checks(host).get(name, ""), what=lambda: f"no {name} in {_checks(host)}")


def test_garbage_is_counted_and_told_by_doctor_and_harms_nothing(host: Host, capsys) -> None:
    _publish(host.address, ("emberdraft/1/yard/reading", b"{not json"), ("emberdraft/2/yard/reading", b"{}"))
    assert "JSON is malformed" in _wait_for(host, "messages, malformed")
    _wait_for(host, "messages, other version")
    main(["doctor", "--db", str(host.db)])
    out = capsys.readouterr().out
    assert "look  messages, malformed: 1 " in out and "the last: " in out
    assert host.service.now()["link"]["state"] == "never"


def test_the_host_takes_a_board_at_an_outside_broker_as_it_does_at_its_own(tmp_path: Path) -> None:
    broker = Mosquitto(tmp_path / "broker", ["yard"])
    address = broker.start()
    board = broker.as_user("yard")
    with Host(tmp_path / "cooks.sqlite", "yard", broker=address) as host:
        while "messages, other version" not in _checks(host):  # until the host is let in and listens
            _publish(board, ("emberdraft/2/yard/reply", b"{}"))
        _publish(address, ("emberdraft/1/yard/reading", b"{nobody may speak for a board"))
        _publish(board, ("emberdraft/1/yard/reading", b"{not json"))
        _wait_for(host, "messages, malformed")
        assert host.ingest.counts()["malformed"].count == 1
    broker.stop()


def test_a_mark_without_a_cook_is_refused_in_one_line(host: Host, capsys) -> None:
    assert main(["mark", "lit", "--db", str(host.db)]) == 1
    err = capsys.readouterr().err
    assert "no cook is running" in err and err.count("\n") == 1


def test_a_second_host_on_the_same_record_does_not_start(host: Host, capsys) -> None:
    assert main(["serve", "--db", str(host.db), "--port", "0"]) == 1
    assert str(host.db) in capsys.readouterr().err


def test_the_note_is_gone_when_the_host_is(tmp_path: Path) -> None:
    db = tmp_path / "cooks.sqlite"
    with Host(db, "yard") as running:
        assert running_url(db) == running.page.url
    assert running_url(db) is None


@pytest.mark.parametrize("simulated", [False, True])
def test_a_cook_on_a_simulated_cooker_is_marked_so_whatever_its_plan_says(tmp_path: Path, simulated: bool) -> None:
    plan = 'version = 1\nname = "Mine"\n[light]\ntarget = "121C"\n[slow]\ntarget = "121C"\nfor = "1h"\n'
    with Host(tmp_path / "cooks.sqlite", "yard", simulated=simulated) as host:
        host.service.start_cook(plan)
        assert host.service.now()["cook"]["invented"] is simulated
        assert [row["invented"] for row in host.store.cooks()] == [int(simulated)]
