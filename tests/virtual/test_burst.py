"""Bursts of orders and stalls of the network: the real firmware, a real broker, and a proxy that can stand still."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from emberboard.link import messages
from emberdraft.virtual.board import VirtualBoard
from tests.virtual.conftest import FOR_EVER_MS, SmallWorld, interpreter_or_skip
from tests.virtual.proxy import Proxy
from tests.virtual.test_paced import heard, wait_for

__all__ = ["heard"]  # the fixture: a broker, and a listener to all

SPEED = 5.0
KEEP_ALIVE_S = 10
BROKERS = pytest.mark.parametrize("heard", ["embedded", "mosquitto"], indirect=True)


@pytest.fixture
def linked(heard, tmp_path):
    """(send(n, name, **args), messages, proxy, board) of a board that is up behind a proxy."""
    address, box, client = heard
    with Proxy(address.port) as proxy:
        board = VirtualBoard(
            SmallWorld(),
            speed=SPEED,
            interpreter=interpreter_or_skip(),
            broker=replace(address, port=proxy.port),
            work_dir=tmp_path / "flash",
            settings={"keep_alive_s": KEEP_ALIVE_S},
        )
        with board:
            boot = wait_for(box, lambda topic, _: topic.endswith("/link"))[-1][2]["boot"]
            wait_for(box, lambda topic, _: topic.endswith("/reading"))

            def send(n, name, **args):
                payload = messages.order(n, boot, FOR_EVER_MS, name, args)
                client.publish(messages.topic("demo", "order"), payload, 1)

            yield send, box, proxy, board


def replies(box, last, within_s=60.0):
    """Numbers answered, in their order, up to `last`."""
    got = wait_for(box, lambda topic, said: topic.endswith("/reply") and said["n"] == last, within_s)
    return [said["n"] for _, topic, said in got if topic.endswith("/reply")]


@BROKERS
def test_thirteen_orders_at_once_and_sixty_are_all_answered_and_then_a_stop(linked):
    send, box, proxy, _board = linked
    for first, count in ((1, 13), (14, 60)):
        for n in range(first, first + count):
            send(n, "vent", vent="top", opening=0.5)
        assert replies(box, first + count - 1) == list(range(first, first + count))
    send(74, "mode", mode="off")
    assert replies(box, 74, 5.0) == [74]
    assert proxy.connections == 1


@pytest.mark.parametrize(("stall_s", "presses"), [(7.0, 3), (12.5, 1)])
def test_a_stall_in_which_somebody_presses_ends_with_a_board_that_hears(linked, stall_s, presses):
    """Each press is sent anew every second until it is answered, as daemon/dispatch.py does."""
    send, box, proxy, board = linked
    proxy.stall()
    for _ in range(int(stall_s)):
        for n in range(1, 1 + presses):
            send(n, "lid", open=False)
        time.sleep(1.0 / SPEED)
    proxy.flow()
    wait_for(box, lambda topic, row: topic.endswith("/reading") and row["ms"] > 1000 * stall_s, 30.0 / SPEED)
    begun_s = board.now_s
    send(99, "mode", mode="off")
    assert replies(box, 99, 30.0 / SPEED)[-1] == 99
    assert board.now_s - begun_s <= 30.0
    assert board.boots == 1
