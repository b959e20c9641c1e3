"""A whole night in lock-step: the board's core, a simulated cooker, the real service with its record, a person asleep.

The witness beside it reads what stands (alarms, prompts) and what was sent, and shares no code with what decides: it
counts what should have been called and what was.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberboard.core.controller import Controller, Inputs
from emberdraft.clock import Clock
from emberdraft.daemon.calls_table import TABLE
from emberdraft.daemon.order import Order
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.recorder import reading
from emberdraft.daemon.rehearsal import cold_world
from emberdraft.daemon.service import Service
from emberdraft.daemon.standin import Person
from emberdraft.store import Store
from tests.daemon.test_service import Told

START_S = 1_790_000_000.0
HOUR_S = 3600.0
SLEEPS_S, WAKES_S = 2.0 * HOUR_S, 9.0 * HOUR_S
ALMOST_S = 10.0
CHATTERS_S = 600.0  # what came back once is said to be over when it has stayed away so long (docs/reference/calls.md)

ROAST = """version = 1
name = "A roast over night"
invented = true
[light]
target = "110C"
[soak]
least = "15 min"
[slow]
target = "110C"
expect = "10 h"
[bank]
longest = "20 min"
[[piece]]
letter = "A"
name = "shoulder"
animal = "pork"
probe = 0
mass = "{kg} kg"
thickness = "{mm} mm"
start = "4C"
pull = "65C"
final = "68C"
rest = "30 min"
[stand_in]
delay = "40 s"
lid = "40 s"
"""
HOLD = """version = 1
name = "A hold over night"
invented = true
[light]
target = "110C"
[soak]
least = "15 min"
[slow]
target = "110C"
for = "{h}h"
[bank]
longest = "20 min"
[stand_in]
delay = "40 s"
"""


class Hands(Clock):
    """A clock that the night moves."""

    def __init__(self) -> None:
        super().__init__(1.0)
        self.at_s = START_S

    def now_s(self) -> float:
        return self.at_s


class Night:
    """`run()` until the plan is done, and the witness's findings."""

    def __init__(self, folder: Path, seed: int, fault: str = "", text: str = "") -> None:
        """`text`: a short plan, with the fault early in it, in the place of what the seed draws."""
        draw = random.Random(seed)
        self.plan: Plan = parse_plan(text or _plan_text(draw, seed))
        self.fault, self.fault_s = fault, 1.5 * HOUR_S if text else draw.uniform(3.0, 6.0) * HOUR_S
        self.world = cold_world(self.plan, None, seed)
        self.inputs: Any = Inputs(len(self.world.probe_in))
        self.controller = Controller(n_core=len(self.world.probe_in))
        self.clock, self.told = Hands(), {}
        self.sent: list[dict[str, Any]] = []
        self.store = Store(folder / f"night{seed}.sqlite")
        self._serve()
        self.person = Person(self.plan, self.world, self)
        self.witness = Witness()
        self.seq = 0
        self.gone_s = float("inf")

    def _serve(self) -> None:
        self.service = Service(self.store, self.clock, "yard", self, Told(self.sent))
        live = self.service.live
        live.desk._start = live.pulls._start = lambda _job: None

    # ---- what the board and the page are to the service and the person

    def send_order(self, order: Order) -> int:
        """An order reaches the core at once, unless the link is down."""
        self.controller.order(order.name, dict(order.args), self.seq * 1000)
        return self.seq

    def answer(self, prompt_id: str, at_cooker: bool = False) -> None:
        """The person's finger."""
        self.witness.acts.append(self.clock.at_s)
        self.service.answer(prompt_id, at_cooker)

    def command(self, name: str, **args: Any) -> None:
        """The person's finger."""
        self.witness.acts.append(self.clock.at_s)
        self.service.command(name, **args)

    # ---- the night

    def run(self, most_h: float = 20.0) -> Witness:
        """Second after second."""
        self.service.start_cook(self.plan)
        end_s = most_h * HOUR_S
        while self.seq < end_s:
            self._second()
            if self.service.cook.conductor is None:
                end_s = min(end_s, self.seq + HOUR_S)  # an hour of silence after it
        self.store.close()
        return self.witness

    def _second(self) -> None:
        self.seq += 1
        self.clock.at_s = START_S + self.seq
        fault = self.fault if self.fault_s <= self.seq else ""
        since_s = self.seq - self.fault_s
        self.world.advance(1.0)
        self._sense(fault, since_s)
        out = self.controller.tick(self.seq * 1000, self.inputs)
        unplugged = fault == "blower unplugged" and since_s < 2.0 * HOUR_S
        self.world.set_air(0.0 if unplugged else out.drive, out.opening)
        silent = SILENT[fault](since_s) if fault in SILENT else False
        if not silent:
            self._heard(out)
        if fault == "host restarts" and since_s % 600.0 < 1.0 and since_s < 7200.0:
            self.service.close()
            self._serve()
        self.controller.events.clear()
        self.service.tick()
        self.witness.look(self)
        self._person()

    def _sense(self, fault: str, since_s: float) -> None:
        inputs, world = self.inputs, self.world
        inputs.pit_c, inputs.stone_c, inputs.board_c = world.pit_c, world.stone_c, world.board_c
        for k in range(len(inputs.core_c)):
            inputs.core_c[k] = world.probe_c(k)
        inputs.tach_rpm = world.tach_rpm
        if fault in NO_PIT and NO_PIT[fault](since_s):
            inputs.pit_c, inputs.pit_fault = None, "open"
        else:
            inputs.pit_fault = ""
        if fault == "board hot" and since_s < 1500.0:
            inputs.board_c = 95.0
        if fault == "fuel lost" and 0.0 <= since_s < 1.0:
            world.lose_fuel()

    def _heard(self, out: Any) -> None:
        row = reading(out, self.inputs) | {"boot": "b1", "seq": self.seq, "ms": self.seq * 1000, "oldest": 0}
        self.service.on_records("yard", [row | {"at_s": self.clock.at_s, "arrived_s": self.clock.at_s}])
        standing = {
            name: {"id": name, "kind": a.kind, "value": a.value, "limit": a.limit, "active": a.active,
                   "acknowledged": a.acknowledged, "since_ms": a.since_ms, "boot": "b1"}
            for name, a in self.controller.alerts.items()
        }  # fmt: skip
        for name in {*standing, *self.told}:
            if standing.get(name) != self.told.get(name):
                self.service.on_alert("yard", name, standing.get(name))
        self.told = standing

    def _person(self) -> None:
        """Awake, acts as the stand-in does; asleep, only once something that wakes has been sent for ten minutes."""
        woken = any(n["wakes"] == "asleep" and not n["over"] and n["ways"] == ["first"] and
                    600.0 <= self.clock.at_s - n["at_s"] < 900.0 for n in self.sent[-8:])  # fmt: skip
        if self._asleep() and not woken and not self.person.todo:
            return
        self.person.tick(self.clock.at_s, self.service.prompts())
        for alarm in self.service.alarms.desk.shown():
            if alarm.state in ("unacknowledged", "returned") and self.clock.at_s - alarm.at_s > 600.0:
                self.service.command("acknowledge", id=alarm.id)
                self.witness.answered(f"alarm:{alarm.id}", self.clock.at_s)
                if alarm.id == "blower_fault":
                    self.fault_s = float("inf")  # who comes plugs it in again
                if alarm.id == "not_answering" and self.service.cook.running:
                    self.command("bank")  # the fire is out: no more of it tonight

    def _asleep(self) -> bool:
        return SLEEPS_S <= self.seq < WAKES_S


SILENT: dict[str, Callable[[float], bool]] = {
    "link down 20 min": lambda s: s < 1200.0,
    "link down 2 h": lambda s: s < 7200.0,
    "link comes and goes": lambda s: s < 7200.0 and s % 120.0 < 60.0,
}
NO_PIT: dict[str, Callable[[float], bool]] = {
    "pit probe out 40 s": lambda s: s < 40.0,
    "pit probe out 30 min": lambda s: s < 1800.0,
    "pit probe loose": lambda s: s < 3600.0 and s % 300.0 < 20.0,
}
FAULTS = (*SILENT, *NO_PIT, "board hot", "fuel lost", "blower unplugged", "host restarts")


def _plan_text(draw: random.Random, seed: int) -> str:
    """Ten to sixteen hours: every second night a hold, the others a roast."""
    if seed % 2:
        return HOLD.format(h=draw.randint(9, 14))
    return ROAST.format(kg=draw.choice((1.5, 2.0, 2.5)), mm=draw.choice((90, 100, 110)))


class Witness:
    """What stood and what was sent; times in unix s."""

    def __init__(self) -> None:
        self.episodes: dict[str, list[list[float]]] = {}  # key -> [since, until] of each stretch that asked
        self.answers: dict[str, list[float]] = {}
        self.pushes: dict[str, list[float]] = {}
        self.overs: dict[str, list[float]] = {}
        self.seconds: list[tuple[float, list[str], bool]] = []
        self._seen = 0
        self.false: list[str] = []
        self.after_the_end: list[str] = []
        self.acts: list[float] = []  # when a person pressed something: what asks no more then was answered
        self.now_s = 0.0
        self._prompts: set[str] = set()

    def answered(self, key: str, at_s: float) -> None:
        """A person has answered."""
        self.answers.setdefault(key, []).append(at_s)

    def look(self, night: Night) -> None:
        """After each second: what asks now, and what has been sent in it."""
        now_s, asks = night.clock.at_s, self._asking(night)
        self.now_s = now_s
        for key in asks:
            stretches = self.episodes.setdefault(key, [])
            if not stretches or stretches[-1][1] < now_s - 1.5:
                stretches.append([now_s, now_s])
            stretches[-1][1] = now_s
        for notice in night.sent[self._seen :]:
            self.seconds.append((now_s, list(notice["calls"]), notice["over"]))
            for key in notice["calls"]:
                (self.overs if notice["over"] else self.pushes).setdefault(key, []).append(now_s)
                if not notice["over"] and key not in asks:
                    self.false.append(f"{key} at {now_s - START_S:.0f} s")
        if night.service.cook.conductor is None and not asks:
            late = [n["title"] for n in night.sent[self._seen :] if not n["over"]]
            self.after_the_end += late
        self._seen = len(night.sent)

    def _asking(self, night: Night) -> set[str]:
        cook, found = night.service.cook, set()
        for name, alarm in night.service.alarms.desk.alarms.items():
            stands = alarm.state == "unacknowledged" or (alarm.state == "returned" and alarm.kind == "trip")
            if stands and (alarm.kind == "trip" or cook.conductor is not None):
                found.add(f"alarm:{name}")
        prompts = {f"prompt:{cook.cook_id}:{p.id}" for p in night.service.prompts()}
        return {key for key in found | prompts if self.row(key).whom != "cooker"}

    @staticmethod
    def row(key: str) -> Any:
        """The table's row of a call."""
        of, _, rest = key.partition(":")
        return TABLE[of, rest if of == "alarm" else rest.partition(":")[2].partition("-")[0]]

    # ---- findings

    def calls(self) -> list[tuple[str, float, float]]:
        """(key, since, until): stretches up to half an hour apart are one call; of a prompt, if unanswered between."""
        joined: list[tuple[str, float, float]] = []
        for key, stretches in self.episodes.items():
            for since_s, until_s in stretches:
                last = joined[-1] if joined and joined[-1][0] == key else None
                answered = key.startswith("prompt:") and last and any(last[1] <= a <= since_s for a in self.acts)
                if last and not answered and since_s - last[2] < 1800.0:
                    joined[-1] = (key, last[1], until_s)
                else:
                    joined.append((key, since_s, until_s))
        return joined

    def missed(self) -> list[str]:
        """Calls whose first push did not come within ten seconds."""
        return [f"{key} at {since_s - START_S:.0f} s" for key, since_s, until_s in self.calls()
                if until_s - since_s >= 2.0
                and not any(since_s <= t <= since_s + ALMOST_S for t in self.pushes.get(key, []))]  # fmt: skip

    def not_over(self) -> list[str]:
        """Calls that ended by themselves, were sent, and whose last word was not one *Over*."""
        found = []
        for key, since_s, until_s in self.calls():
            said = [t for t in self.pushes.get(key, []) if since_s <= t <= until_s]
            latest_s = until_s + 20.0 + (CHATTERS_S if len(self.episodes[key]) > 1 else 0.0)
            if not said or latest_s >= self.now_s:
                continue
            by_person = any(max(said) <= t <= until_s + 2.0 for t in (*self.answers.get(key, []), *self.acts))
            ends = [t for t in self.overs.get(key, []) if max(said) <= t <= latest_s]
            if by_person and not ends:
                continue
            if len(ends) != 1:
                found.append(f"{key} until {until_s - START_S:.0f} s: {len(ends)} times over")
        return found

    def over_caps(self) -> list[str]:
        """Calls with more than 7 pushes in their first hour, or 4 in any hour after."""
        found = []
        for key, since_s, until_s in self.calls():
            every = (*self.pushes.get(key, []), *self.overs.get(key, []))
            mine = [t for t in every if since_s <= t <= until_s + CHATTERS_S + 60.0]
            later = [t for t in mine if t >= since_s + HOUR_S]
            most_later = max((sum(a <= t < a + HOUR_S for t in later) for a in later), default=0)
            if sum(t < since_s + HOUR_S for t in mine) > 7 or most_later > 4:
                found.append(key)
        return found

    def most_in(self, span_s: float) -> int:
        """The most pushes of the night in any stretch of this length."""
        times = [t for t, _, _ in self.seconds]
        return max((sum(a <= t < a + span_s for t in times) for a in times), default=0)

    def most_later(self) -> int:
        """The most pushes in an hour, of those after the first hour of a run; a run ends with an hour of silence."""
        later, began_s, last_s = [], 0.0, float("-inf")
        for t, _, _ in self.seconds:
            began_s = t if t - last_s >= HOUR_S else began_s
            last_s = t
            later += [t] if t >= began_s + HOUR_S else []
        return max((sum(a <= t < a + HOUR_S for t in later) for a in later), default=0)
