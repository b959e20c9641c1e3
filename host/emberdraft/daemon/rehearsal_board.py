"""The same rehearsal with the whole firmware: under MicroPython on the virtual board, in lock-step, over its MQTT."""

from __future__ import annotations

import json
import tempfile
import time
from pathlib import Path
from typing import Any

from emberboard.link import messages
from emberdraft.daemon.conductor import Action
from emberdraft.daemon.figures import Figures
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.recorder import COOKER, Recorder
from emberdraft.daemon.rehearsal import LONGEST_S, prepared
from emberdraft.errors import UserError
from emberdraft.virtual.board import VirtualBoard

Row = dict[str, Any]
CHUNK_S = 60.0
VALID_MS = 15_000


class BoardRehearsal:
    """One run through the virtual board."""

    def __init__(
        self, plan: Plan, plant_spec: str | None, recorder: Recorder | None, seed: int, start_s: float
    ) -> None:
        self.plan = plan
        self.start_s = start_s
        self.world, self.conductor, self.person, self.finger = prepared(plan, plant_spec, seed)
        self.recorder = recorder
        self.figures = Figures(plan, start_s)
        self.view = self.conductor.stage.view
        self.orders: dict[int, Action] = {}
        self.asked: list[tuple[float, str]] = []
        self.order_n = 0
        self.boot = ""
        self.uptime_ms = 0
        self.started_s: dict[str, float] = {}
        self.board: Any = None

    def run(self, work_dir: Path, interpreter: str, seed: int) -> Row:
        """Until the plan is done."""
        began_s, now_s = time.perf_counter(), 0.0
        self.board = VirtualBoard(
            self.world,
            interpreter=interpreter,
            cooker=COOKER,
            seed=seed,
            work_dir=work_dir,
            settings={"food_probes": len(self.world.probe_in), "damper": self.plan.blower, "blower": self.plan.blower},
        )
        with self.board:
            while not self.conductor.done:
                now_s += CHUNK_S
                if now_s > LONGEST_S:
                    raise UserError(
                        f"plan {self.plan.name!r}: not at its end after {LONGEST_S // 3600} h of simulation"
                    )
                self.board.run_until(now_s, self._second)
        if self.recorder is not None:
            self.recorder.finish(self.start_s + now_s)
        return self.figures.summary(self, round(now_s), time.perf_counter() - began_s)

    def _second(self, t_s: float) -> None:
        now_s = self.start_s + t_s
        for topic, payload in self.board.peer.take_received():
            self._hear(now_s, topic, payload)
        if self.conductor.done:
            return
        self.finger.now_s = now_s
        self.person.tick(now_s, self.conductor.prompts)
        actions = self.conductor.tick(now_s, self.view)
        if self.finger.actions:
            actions, self.finger.actions = self.finger.actions + actions, []
        for action in actions:
            self._carry_out(now_s, action)

    # ---- what the board says

    def _hear(self, now_s: float, topic: str, payload: bytes) -> None:
        what = topic.rsplit("/", 1)[1]
        if what == "reading":
            self._reading(now_s, json.loads(payload))
        elif what == "event":
            self._event(now_s, json.loads(payload))
        elif "/alert/" in topic:
            self._alert(what, payload)
        elif what == "reply":
            reply = json.loads(payload)
            action = self.orders.pop(reply["n"], None)
            if action is not None:
                self.figures.order(now_s, action, reply["code"], reply["text"])

    def _reading(self, now_s: float, row: Row) -> None:
        at_s = self._at_s(now_s, row)
        if not row.get("late"):
            self.boot, self.uptime_ms = row["boot"], row["ms"]
            self.view.read(row, at_s)
            self.figures.second(at_s, _Duty(row["duty"]), self.view)
        self._store(row | {"at_s": at_s})

    def _event(self, now_s: float, row: Row) -> None:
        at_s = self._at_s(now_s, row)
        self.figures.events(at_s, [(row["kind"], row["value"], row["limit"], row["text"])])
        self._store(row | {"at_s": at_s})

    def _alert(self, alert: str, payload: bytes) -> None:
        """A retained alert; an empty payload means that it is gone."""
        self.view.alerts.pop(alert, None)
        if payload:
            self.view.alerts[alert] = json.loads(payload)

    def _at_s(self, now_s: float, row: Row) -> float:
        began_s = self.started_s.setdefault(row["boot"], now_s - row["ms"] / 1000.0)
        return began_s + float(row["ms"]) / 1000.0

    def _store(self, row: Row) -> None:
        if self.recorder is not None:
            self.recorder.row(row)

    # ---- what the board is told

    def _carry_out(self, now_s: float, action: Action) -> None:
        if action.kind == "order":
            self.order_n += 1
            self.orders[self.order_n] = action
            until_ms = self.uptime_ms + VALID_MS
            order = messages.order(self.order_n, self.boot, until_ms, action.name, action.args)
            self.board.peer.publish(messages.topic(COOKER, "order"), order)
        else:
            self.figures.action(now_s, action)
            if action.kind == "prompt" and not action.args["again"]:
                self.asked.append((now_s, action.name))
        if self.recorder is not None:
            self.recorder.action(now_s, action)


class _Duty:
    """What the figures read of the core's outputs."""

    def __init__(self, duty: float) -> None:
        self.duty = duty


def rehearse_on_board(
    plan: Plan, plant_spec: str | None, db: str | Path | None, seed: int, interpreter: str = "micropython"
) -> Row:
    """The summary of a run through the virtual board."""
    start_s = 0.0 if db is None else float(int(time.time()))
    with tempfile.TemporaryDirectory(prefix="emberdraft-") as folder:
        if db is None:
            return BoardRehearsal(plan, plant_spec, None, seed, start_s).run(Path(folder), interpreter, seed)
        with Recorder(db, plan, start_s) as recorder:
            return BoardRehearsal(plan, plant_spec, recorder, seed, start_s).run(Path(folder), interpreter, seed)
