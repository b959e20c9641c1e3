"""A host over a real store, fed at the link by a simulated board; time passes when a test says so.

    kitchen.pass_s(60)      # a minute: the board controls and speaks, the host stores, the service ticks

One cook of the demonstration's plan is made once (`make`): to its end, two weeks before, and again to the second in
which the first piece is asked for. Each test gets a copy of the record, and the board goes on from there.
"""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberdraft.clock import Clock
from emberdraft.daemon.broker import BrokerAddress
from emberdraft.daemon.ingest import Ingest
from emberdraft.daemon.keeper import SETTLE_S
from emberdraft.daemon.line import Message
from emberdraft.daemon.notify import Notifier
from emberdraft.daemon.plan import Plan, load_plan
from emberdraft.daemon.rehearsal import cold_world
from emberdraft.daemon.service import OrderLine, Service
from emberdraft.daemon.standin import Person
from emberdraft.store.store import Store
from tests.web.simulated_board import COOKER, SimulatedBoard

START_S = 1791650400.0  # 2026-10-10 16:40 UTC
EARLIER_S = START_S - 14 * 86400.0
FINISHED, RUNNING = 1, 2
QUIET_S = 8  # seconds that share a commit while nobody is asked for anything: the board waits 10 s for its ack
PROBE_OUT = {"pit_c": None, "pit_fault": "open"}
# What brings an alarm of each kind, and after how many seconds: no pit value, no stone value, a pit beyond all limits.
CAUSES: dict[str, tuple[dict[str, Any], int]] = {
    "pause": (PROBE_OUT, 6),
    "notice": ({"stone_c": None, "stone_fault": "open"}, 6),
    "trip": ({"pit_c": 460.0, "pit_fault": ""}, 40),
}
UNPLUGGED_S = (6600.0, 6684.0)  # of the first cook: the pit probe was out of its socket


class HeldClock(Clock):
    """Stands until it is moved."""

    def __init__(self, at_s: float, speed: float = 1.0) -> None:
        super().__init__(speed)
        self.at_s = at_s

    def now_s(self) -> float:
        return self.at_s


def service_over(store: Store) -> Service:
    """A service of this record with no board, for what needs the state alone."""
    return Service(store, HeldClock(START_S + 5000.0), COOKER, None)


class CookingHost:
    """The host without its page. Without a board nothing is heard."""

    def __init__(
        self, database: Path, at_s: float, board: SimulatedBoard | None = None, notifier: Notifier | None = None
    ) -> None:
        self.store, self.clock, self.board = Store(database), HeldClock(at_s), board
        self.service = Service(self.store, self.clock, COOKER, None, notifier)
        self.ingest = self._listen()
        self.service.link_out = OrderLine(self.ingest, COOKER)
        self.orders: list[tuple[str, dict[str, Any]]] = []

    def _listen(self) -> Ingest:
        on = self.service
        made = Ingest(
            BrokerAddress("nowhere"),
            COOKER,
            self.store,
            self.clock,
            on_rows=on.on_records,
            on_link=on.on_link,
            on_info=on.on_info,
            on_alert=on.on_alert,
            on_reply=on.on_reply,
        )
        made._line.publish = self._told  # type: ignore[method-assign]
        made._line.since_s = made._line.steady() - SETTLE_S  # let in long ago, and no other host there
        return made

    def _told(self, topic: str, payload: bytes, qos: int = 0, retain: bool = False) -> None:
        """An ack or an order goes to the board."""
        if topic.endswith("/order"):
            order = json.loads(payload)
            self.orders.append((order["name"], order["args"]))
        if self.board is not None:
            self.board.line.heard.append((topic, payload))

    def pass_s(self, seconds: int = 1) -> None:
        """So many seconds, which the host takes together."""
        waiting: list[Message] = []
        for _ in range(seconds):
            self.clock.at_s += 1.0
            if self.board is not None:
                self.board.second()
                waiting += [Message(self.clock.at_s, *said, False) for said in self.board.line.taken()]
        self.ingest.turn(waiting)
        self.service.tick()

    def provoke(self, kind: str) -> None:
        """An alarm of this kind, from its cause."""
        assert self.board is not None
        fault, seconds = CAUSES[kind]
        self.board.faults = self.board.faults | fault
        self.pass_s(seconds)
        standing = {(alarm["kind"], alarm["state"]) for alarm in self.service.now()["alarms"]}
        assert (kind, "unacknowledged") in standing

    def acknowledge(self) -> None:
        """All alarms, by somebody elsewhere."""
        self.service.command("acknowledge")
        self.pass_s(2)

    def cook(self, plan: Plan, until: Callable[[], bool]) -> None:
        """A cook from a cold cooker on, with its stand-in person."""
        assert self.board is not None
        self.service.start_cook(plan)
        person = Person(plan, self.board.world, self.service)
        while not until():
            self.pass_s(1 if self.service.prompts() or person.todo else QUIET_S)
            person.tick(self.clock.at_s, self.service.prompts())

    def close(self) -> None:
        self.service.close()
        self.store.close()


def make(folder: Path) -> None:
    """cooks.sqlite, and `board` at the second after its last row."""
    plan, database = load_plan("two_chops"), folder / "cooks.sqlite"
    first = CookingHost(database, EARLIER_S, SimulatedBoard(cold_world(plan, None, 0), "a001a001"))
    without_twin(first)
    first.cook(plan, lambda: _unplug(first) or not first.service.cook.running)
    first.close()
    second = CookingHost(database, START_S, SimulatedBoard(cold_world(plan, None, 0), "b5e1b5e1"))
    without_twin(second)
    second.cook(plan, lambda: any(prompt.kind == "pull" for prompt in second.service.prompts()))
    second.close()
    (folder / "board").write_bytes(pickle.dumps((second.clock.at_s, second.board)))


def without_twin(host: CookingHost) -> None:
    """The fits of the twin run beside a cook in real time: in one that takes seconds none would be ready in time."""
    host.service.live.desk._start = lambda job: None


def without_forecasts(host: CookingHost) -> None:
    """The host as in its first second: none of what it works out beside (pulls, stone, vents) has come."""
    host.service.live.pulls._start = lambda job: None
    without_twin(host)


def _unplug(host: CookingHost) -> bool:
    """The pit probe out of its socket and in again, and the alarm acknowledged; always False."""
    passed_s = host.clock.at_s - EARLIER_S
    out = UNPLUGGED_S[0] <= passed_s < UNPLUGGED_S[1]
    assert host.board is not None
    host.board.faults = PROBE_OUT if out else {}
    if UNPLUGGED_S[1] <= passed_s < UNPLUGGED_S[1] + QUIET_S:
        host.service.command("acknowledge")
    return False


def load(folder: Path) -> tuple[float, SimulatedBoard]:
    """The moment and the board that `make` left."""
    found: tuple[float, SimulatedBoard] = pickle.loads((folder / "board").read_bytes())
    return found
