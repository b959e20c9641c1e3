"""A board on a simulated cooker, without threads or sockets: the firmware's core, spool and session, second by second.

The network alone is left out: `Line` stands where the board's MQTT client stands.
"""

from __future__ import annotations

from collections import deque
from typing import Any

from emberboard.core.controller import Controller, Inputs
from emberboard.link.session import LinkSession
from emberboard.link.spool import Spool

COOKER = "garden"
INFO = {"firmware": "0.1.0", "sensors": {"food": 2, "blower": True, "damper": True}, "limits": {"pit_c": 400.0}}
Said = tuple[str, bytes]


class Line:
    """The board's end of the wire, always up: `said` waits for the host, `heard` for the board."""

    largest = 2000

    def __init__(self) -> None:
        self.up = True
        self.epoch = 1
        self.said: list[Said] = []
        self.heard: deque[Said] = deque()

    def poll(self, now_ms: int) -> None:
        """Nothing waits."""

    def publish(self, topic: str | bytes, payload: bytes, qos: int = 0, retain: bool = False) -> bool:
        name = topic if isinstance(topic, str) else bytes(topic).decode()
        self.said.append((name, bytes(payload)))
        return True

    def take(self) -> tuple[str, bytes, bool] | None:
        return (*self.heard.popleft(), False) if self.heard else None

    def taken(self) -> list[Said]:
        """What was said since the last call."""
        said, self.said = self.said, []
        return said


class SimulatedBoard:
    """`second` lets one second pass: cooker, sensors, control, link. Pickled, it goes on with a new connection."""

    def __init__(self, world: Any, boot: str) -> None:
        self.world, self.boot = world, boot
        self.controller = Controller(n_core=len(world.probe_in))
        self.faults: dict[str, Any] = {}
        self._connect(0, 0)

    def _connect(self, now_ms: int, next_seq: int) -> None:
        self.now_ms = now_ms
        self.line = Line()
        self._inputs: Any = Inputs(len(self.world.probe_in))
        self.spool = Spool(600, self.boot)
        self.spool.oldest = self.spool.next_seq = next_seq
        self._session = LinkSession(self.line, self.spool, self.controller, COOKER, self.boot, INFO)

    def __getstate__(self) -> tuple[Any, ...]:
        return self.world, self.boot, self.controller, self.now_ms, self.spool.next_seq

    def __setstate__(self, kept: tuple[Any, ...]) -> None:
        self.world, self.boot, self.controller, now_ms, next_seq = kept
        self.faults = {}
        self._connect(now_ms, next_seq)

    def second(self) -> None:
        """What is said in it waits in the line."""
        self.now_ms += 1000
        self.world.advance(1.0)
        self._sense()
        out = self.controller.tick(self.now_ms, self._inputs)
        self.world.set_air(out.drive, out.opening)
        self.spool.add_reading(self.now_ms, out, self._inputs)
        for event in self.controller.events:
            self.spool.add_event(self.now_ms, *event)
        self.controller.events.clear()
        self._session.poll(self.now_ms)

    def _sense(self) -> None:
        """What the chips would say; `faults` names inputs that are otherwise, such as pit_c: None, pit_fault: open."""
        inputs, world = self._inputs, self.world
        inputs.pit_c, inputs.stone_c, inputs.board_c = world.pit_c, world.stone_c, world.board_c
        inputs.pit_fault = inputs.stone_fault = ""
        for k in range(len(inputs.core_c)):
            inputs.core_c[k] = world.probe_c(k)
        inputs.tach_rpm = world.tach_rpm
        for name, value in self.faults.items():
            setattr(inputs, name, value)
