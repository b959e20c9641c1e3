"""The board in its own process at many times real time, over a real broker on the loopback."""

from __future__ import annotations

import json
import queue
import time

import paho.mqtt.client as mqtt
import pytest

from emberboard.link import messages
from emberdraft.daemon.broker import EmbeddedBroker
from emberdraft.errors import UserError
from emberdraft.virtual.board import VirtualBoard
from tests.mosquitto import Mosquitto
from tests.virtual.conftest import FOR_EVER_MS, SmallWorld, interpreter_or_skip
from tests.waiting import CAP_S

SPEED = 60.0


@pytest.fixture
def heard(tmp_path, request):
    """(broker's address for the board, queue of (monotonic seconds, topic, object), the host's client)."""
    outside = getattr(request, "param", "embedded") == "mosquitto"
    broker = Mosquitto(tmp_path / "broker", ["demo"]) if outside else EmbeddedBroker()
    address = broker.start()
    box: queue.Queue = queue.Queue()
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv311)
    client.username_pw_set(address.user, address.password)

    def on_message(_client, _data, message):
        if message.payload:
            box.put((time.monotonic(), message.topic, json.loads(message.payload)))

    def on_connect(client, *_more):
        client.subscribe("emberdraft/#", 1)

    client.on_message, client.on_connect = on_message, on_connect
    client.connect(address.host, address.port)
    client.loop_start()
    yield broker.as_user("demo") if outside else address, box, client
    client.disconnect()
    client.loop_stop()
    broker.stop()


def wait_for(box, wanted, within_s=10.0 * CAP_S):
    """The messages up to the first that `wanted(topic, message)` likes, it last."""
    got, end_s = [], time.monotonic() + within_s
    while time.monotonic() < end_s:
        try:
            got.append(box.get(timeout=0.2))
        except queue.Empty:
            continue
        if wanted(*got[-1][1:]):
            return got
    pytest.fail(f"not heard within {within_s} s; last: {got[-1:]}")


OVER = [("embedded", "micropython"), ("embedded", "cpython"), ("mosquitto", "micropython")]


@pytest.mark.parametrize(("heard", "interpreter"), OVER, indirect=["heard"])
def test_at_sixty_times_nothing_is_lost(heard, tmp_path, interpreter):
    address, box, client = heard
    interpreter = interpreter_or_skip() if interpreter == "micropython" else interpreter
    board = VirtualBoard(
        SmallWorld(), speed=SPEED, interpreter=interpreter, broker=address, work_dir=tmp_path / "flash"
    )
    with board:
        boot = wait_for(box, lambda topic, _: topic.endswith("/link"))[-1][2]["boot"]
        order = messages.order(
            1, boot, FOR_EVER_MS, "mode", {"mode": "hold", "phase": "slow", "target_c": 90.0, "at_cooker": True}
        )
        client.publish(messages.topic("demo", "order"), order, 1)
        assert wait_for(box, lambda topic, _: topic.endswith("/reply"))[-1][2]["code"] == ""
        got = wait_for(box, lambda topic, row: topic.endswith("/reading") and row["seq"] >= 120)
        assert board.world.pit_c > 20.5
        assert board.drive == pytest.approx(got[-1][2]["drive"], abs=0.3)
    seqs = sorted({row["seq"] for _, topic, row in got if topic.endswith(("/reading", "/event"))})
    assert seqs[-100:] == list(range(seqs[-1] - 99, seqs[-1] + 1))
    assert got[-1][2]["mode"] == "hold"


def test_the_world_is_reached_through_the_line(heard, tmp_path):
    address, _, _ = heard
    board = VirtualBoard(SmallWorld(), speed=10.0, interpreter="cpython", broker=address, work_dir=tmp_path)
    with board:
        board.world.core_c = 57.0
        assert board.world.probe_c(0) == 57.0
        with pytest.raises(AttributeError):
            board.world.no_such_thing  # noqa: B018


def test_what_makes_no_sense_is_refused_in_a_line(tmp_path):
    with pytest.raises(UserError, match="needs a broker"):
        VirtualBoard(SmallWorld(), speed=60.0, interpreter="cpython", work_dir=tmp_path)
    with pytest.raises(UserError, match="speed -1"):
        VirtualBoard(SmallWorld(), speed=-1.0, interpreter="cpython", work_dir=tmp_path)
    with pytest.raises(UserError, match="micropython or cpython"):
        VirtualBoard(SmallWorld(), interpreter="lua", work_dir=tmp_path)


def test_a_folder_without_firmware_is_refused_in_a_line(tmp_path):
    with pytest.raises(UserError, match=r"main\.py"):
        VirtualBoard(SmallWorld(), interpreter="cpython", work_dir=tmp_path, firmware=tmp_path)


@pytest.mark.parametrize("interpreter", ["micropython", "cpython"])
def test_nobody_is_left_running_when_the_bench_goes(tmp_path, interpreter):
    interpreter = interpreter_or_skip() if interpreter == "micropython" else interpreter
    board = VirtualBoard(SmallWorld(), interpreter=interpreter, work_dir=tmp_path)
    board.start()
    board.run_until(5.0)
    process, line = board._machine.interpreter._process, board._machine.interpreter._socket
    line.close()
    assert process.wait(timeout=CAP_S) is not None
