"""Do orders make a trip late? The board's controller under orders by chance, beside a guard that no order can put off.

    python -m tests.safety.late_trips 200              # sequences 0 to 199, what they found
    python -m tests.safety.late_trips 1 --seed 4711    # one of them

A sequence is two hours at 1 Hz of a pit that goes wrong as its story says, whatever the air does, and of accepted
orders: some at regular times, as a script would send them, some singly. The lid is truly shut except where its button
said open. A full run keeps where it stands in a file, and goes on from there.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from emberboard.core.controller import Controller, Inputs
from tests.safety.reference_guard import ReferenceGuard

LENGTH_S = 7200
LATE_S = 60
STONE_C = 300.0
PERIODS_S = (5, 8, 15, 30, 60, 120, 280, 300, 500, 590, 600, 700)
TARGETS_C = (110.0, 121.0, 180.0, 240.0)
SAVE_EVERY = 50

Order = tuple[str, dict[str, Any]]


class Late(NamedTuple):
    """A trip of the reference that the board did not follow within a minute."""

    seed: int
    story: str
    name: str
    at_s: int
    orders: int

    def __str__(self) -> str:
        return f"seed {self.seed}, {self.story}: {self.name} due at {self.at_s} s, after {self.orders} orders"


# ---- stories: what goes wrong, from when on


class Story:
    """`mode` and what is wanted at first; `pit_c(t_s)` the pit without a lid; `rpm` None without a speed wire."""

    name = ""
    mode = "hold"
    rpm: float | None = None

    def __init__(self, draw: Random) -> None:
        self.target_c = draw.choice(TARGETS_C)
        self.from_s = draw.randrange(600, 5400)
        self.base_c = self.target_c
        self.cps = 0.0
        self.setup(draw)

    def setup(self, draw: Random) -> None:
        """How bad it is."""

    def pit_c(self, t_s: int) -> float:
        """Steady, then a slope."""
        return self.base_c + self.cps * max(0, t_s - self.from_s)


class Grease(Story):
    """Two degrees a second and more, in a drive whose limit is far: only the rate can tell."""

    name = "grease fire"
    mode = "drive"

    def setup(self, draw: Random) -> None:
        self.base_c, self.cps = draw.uniform(110.0, 160.0), draw.uniform(1.7, 3.0)


class Runaway(Story):
    """Without air it climbs from 20 to just under 40 degC over its target."""

    name = "runaway"

    def setup(self, draw: Random) -> None:
        self.cps = draw.uniform(0.3, 0.7) / 60.0

    def pit_c(self, t_s: int) -> float:
        """Ten minutes up to 20 over, then slowly on."""
        since_s = t_s - self.from_s
        over_c = 20.0 * min(1.0, max(0.0, since_s / 600.0)) + self.cps * max(0.0, since_s - 600.0)
        return self.base_c + min(over_c, 39.0)


class Dead(Story):
    """Full air on a fire that is out: cold, and colder."""

    name = "dead fire"

    def setup(self, draw: Random) -> None:
        self.base_c, self.cps = draw.uniform(42.0, 57.0), -draw.uniform(0.0, 0.2) / 60.0
        self.from_s = 0
        self.mode = draw.choice(("hold", "drive"))


class Over(Story):
    """Ten degrees a minute and more, past its limit."""

    name = "over limit"

    def setup(self, draw: Random) -> None:
        self.cps = draw.uniform(12.0, 25.0) / 60.0
        self.mode = draw.choice(("hold", "drive"))


class Stall(Story):
    """The wheel stands from some moment on, while the pit comes up slowly."""

    name = "stall"

    def setup(self, draw: Random) -> None:
        self.base_c, self.cps, self.rpm = draw.uniform(40.0, 70.0), 0.5 / 60.0, 4000.0
        self.stands_s, self.from_s = self.from_s, 0


STORIES = (Grease, Runaway, Dead, Over, Stall)


# ---- orders


# What a script sends for the k-th time, k from 1.
Script = Callable[[Story, int, Random], Order]
SCRIPTS: dict[str, Script] = {
    "shut": lambda _story, _k, _draw: ("lid", {"open": False}),
    "open": lambda _story, _k, _draw: ("lid", {"open": True}),
    "open and shut": lambda _story, k, _draw: ("lid", {"open": bool(k % 2)}),
    "shut, at the cooker": lambda _story, _k, _draw: ("lid", {"open": False, "at_cooker": True, "seen_ms": "now"}),
    "lower": lambda story, k, _draw: ("target", {"target_c": story.target_c - 0.01 * k}),
    "up and down": lambda story, k, _draw: ("target", {"target_c": story.target_c + 0.02 * (k % 2), "at_cooker": True}),
    "the same mode": lambda story, _k, _draw: ("mode", start_of(story, renewed=True)),
    "vent": lambda _story, k, _draw: ("vent", {"vent": "top", "opening": float(k % 2)}),
    "gains": lambda _story, _k, draw: ("gains", {"kp": draw.uniform(0.0, 0.2)}),
}


def single(story: Story, draw: Random) -> Order:
    """One order by chance; those that the reference takes for a change are rare."""
    kind = draw.choices(
        ("lid", "target", "mode", "vent", "gains", "pieces", "pulled", "relay", "acknowledge", "change"),
        (5, 4, 4, 2, 2, 2, 1, 1, 0.1, 0.1),
    )[0]
    if kind == "lid":
        return "lid", {"open": draw.random() < 0.5}
    if kind == "target":
        return "target", {"target_c": story.target_c + draw.choice((-0.01, 0.0, 0.01, -1.0)), "at_cooker": True}
    if kind == "mode":
        return "mode", start_of(story, renewed=True) | {"phase": draw.choice(("slow", "soak", "climb"))}
    if kind == "change":
        return "mode", draw.choice(({"mode": "bank"}, {"mode": "off"}, start_of(story)))
    rest = {
        "vent": {"vent": draw.choice(("top", "bottom")), "opening": draw.random()},
        "gains": {"kp": draw.uniform(0.0, 0.2), "ti_s": draw.uniform(120.0, 3000.0)},
        "pieces": {"pull_c": [draw.uniform(40.0, 90.0)]},
        "pulled": {"index": 0},
        "relay": {"on": draw.random() < 0.7},
        "acknowledge": {"id": "all"},
    }
    return kind, rest[kind]


def start_of(story: Story, renewed: bool = False) -> dict[str, Any]:
    """The order that the story begins with; `renewed` leaves out what need not be said again."""
    if story.mode == "drive":
        limit_c = 400.0 if story.name == "grease fire" else 300.0
        return {"mode": "drive", "stone_c": STONE_C, "pit_limit_c": limit_c, "longest_s": 10800.0, "at_cooker": True}
    return {"mode": "hold", "at_cooker": True} | ({} if renewed else {"target_c": story.target_c})


def every(period_s: int, kind: str, story: Story, draw: Random) -> dict[int, list[Order]]:
    """A script by its seconds."""
    times = range(draw.randrange(10, 10 + period_s), LENGTH_S, period_s)
    return {at_s: [SCRIPTS[kind](story, k, draw)] for k, at_s in enumerate(times, 1)}


def schedule(story: Story, draw: Random) -> dict[int, list[Order]]:
    """By second: one to three scripts, and single orders four minutes apart in the mean."""
    found: dict[int, list[Order]] = {}
    for _ in range(draw.randint(1, 3)):
        for at_s, orders in every(draw.choice(PERIODS_S), draw.choice(list(SCRIPTS)), story, draw).items():
            found.setdefault(at_s, []).extend(orders)
    for _ in range(LENGTH_S // 240):
        found.setdefault(draw.randrange(10, LENGTH_S), []).append(single(story, draw))
    return found


def lifts(draw: Random) -> dict[int, bool]:
    """Seconds at which the button is pressed (False) or let go after a long press (True); none in most sequences."""
    found: dict[int, bool] = {}
    for _ in range(draw.choice((0, 0, 1, 2))):
        at_s = draw.randrange(60, LENGTH_S - 900)
        found |= {at_s: False, at_s + draw.randrange(20, 120): True}
    return found


# ---- one sequence


class Sequence:
    """One seed's two hours; `late` is what was found, `taken` the orders that the board accepted."""

    def __init__(self, seed: int, board: Any = None) -> None:
        draw = Random(f"late trips {seed}")
        self.seed, self.draw = seed, draw
        self.story: Any = STORIES[seed % len(STORIES)](draw)
        self.orders, self.presses = schedule(self.story, draw), lifts(draw)
        self.board, self.reference = board or Controller(1), ReferenceGuard()
        self.inputs: Any = Inputs(1)
        self.taken = 0
        self.lid_c = 0.0
        self.due: tuple[int, str] | None = None
        self.moved = False
        self.late: Late | None = None
        self.tripped = ""

    def run(self) -> Sequence:
        """Until a trip of the board, a late one, or the end."""
        self._give(0, ("vent", {"vent": "top", "opening": 1.0}))
        self._give(0, ("mode", start_of(self.story)))
        for t_s in range(1, LENGTH_S):
            self._second(t_s)
            if self.late is not None or self.tripped:
                break
        return self

    def _second(self, t_s: int) -> None:
        for order in self.orders.get(t_s, ()):
            self._give(t_s, order)
        held = self.presses.get(t_s)
        self.inputs.lid_button, self.inputs.lid_held = held is False, held is True
        if held is not None:
            self.reference.button(held)
        pit_c, rpm = self._pit_c(t_s), self._rpm(t_s)
        stone_c = min(pit_c, STONE_C - 60.0)
        inputs = self.inputs
        inputs.pit_c, inputs.stone_c, inputs.tach_rpm = pit_c, stone_c, rpm
        out = self.board.tick(t_s * 1000, inputs)
        self.board.events.clear()
        self._compare(t_s, self.reference.tick(pit_c, out.duty, out.drive, rpm, stone_c))

    def _give(self, t_s: int, order: Order) -> None:
        name, args = order
        if args.get("seen_ms") == "now":
            args = args | {"seen_ms": t_s * 1000}
        if self.board.order(name, args, t_s * 1000)[0] == "":
            self.taken += 1
            self.reference.accepted(name, args)
            if name == "acknowledge" or (name == "mode" and args["mode"] != self.story.mode):
                self.due = None
            self.moved = self.moved or name == "target"

    def _pit_c(self, t_s: int) -> float:
        """What the story says, with noise in its last digit, less what the lid lets out."""
        true_c = float(self.story.pit_c(t_s))
        wanted_c = 0.4 * (true_c - 20.0) if self.reference.lid_there else 0.0
        self.lid_c += (wanted_c - self.lid_c) / 50.0
        return round((true_c - self.lid_c + 0.1 * (t_s % 3)) * 16.0) / 16.0

    def _rpm(self, t_s: int) -> float | None:
        if self.story.rpm is None:
            return None
        return float(self.story.rpm) if t_s < self.story.stands_s and self.board.out.drive > 0.0 else 0.0

    def _compare(self, t_s: int, trip: str) -> None:
        self.tripped = next((name for name, alert in self.board.alerts.items() if alert.kind == "trip"), "")
        # Somebody at the cooker raised the target while the trip was due: then only what it still wants is late.
        self.due, self.moved = None if self.moved and not trip else self.due, False
        if trip and self.due is None:
            self.due = (t_s, trip)
        if self.due is not None and not self.tripped and t_s - self.due[0] > LATE_S:
            self.late = Late(self.seed, self.story.name, self.due[1], self.due[0], self.taken)


def search(seeds: range) -> tuple[int, int, list[Late]]:
    """(orders taken, sequences that ended with a trip of the board, late ones)."""
    taken, trips, late = 0, 0, []
    for seed in seeds:
        one = Sequence(seed).run()
        taken += one.taken
        trips += one.tripped != ""
        if one.late is not None:
            late.append(one.late)
    return taken, trips, late


def resumed(seeds: range, kept: Path) -> dict[str, Any]:
    """The same, kept in a file each SAVE_EVERY sequences: what a run before has done is not done again."""
    told = {"next": seeds.start, "taken": 0, "trips": 0, "late": []}
    if kept.exists():
        told = json.loads(kept.read_text(encoding="utf-8"))
    kept.parent.mkdir(parents=True, exist_ok=True)
    while told["next"] < seeds.stop:
        until = min(told["next"] + SAVE_EVERY, seeds.stop)
        taken, trips, late = search(range(told["next"], until))
        told["next"], told["late"] = until, told["late"] + [str(one) for one in late]
        told["taken"], told["trips"] = told["taken"] + taken, told["trips"] + trips
        part = kept.with_suffix(".part")
        part.write_text(json.dumps(told), encoding="utf-8")
        part.replace(kept)
    return told


def main() -> int:
    """Print what was found; 1 when a trip was late."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=0)
    asked = parser.parse_args()
    taken, trips, late = search(range(asked.seed, asked.seed + asked.count))
    for one in late:
        print(one)
    print(f"{asked.count} sequences, {taken} orders taken, {trips} trips of the board, {len(late)} late")
    return 1 if late else 0


if __name__ == "__main__":
    raise SystemExit(main())
