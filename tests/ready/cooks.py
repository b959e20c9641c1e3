"""Cooks to learn from and to be judged on: the real control core on a simulated cooker, from lighting to the climb.

What is kept is what a record holds (readings each 10 s, marks) and, apart, the truth that only a simulation knows.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from emberboard.core.controller import Controller, Inputs
from emberdraft.plant.catalogue import make
from emberdraft.plant.world import World

EVERY_S = 10.0
MEND_S = 600  # to find a shelter and set the gasket right


@dataclass(frozen=True)
class Story:
    """What happens; times in s, temperatures in degC."""

    slow_c: float = 115.0
    slow_s: float = 3300.0
    stone_c: float = 260.0
    climb_s: float = 2700.0
    vent_top: float = 0.3
    vent_climb: float = 1.0
    ambient_c: float = 18.0
    wind_mps: float = 1.0
    fuel_left_kg: float | None = None  # what is left when the climb starts
    choke_climb: float = 1.0  # share of its way that is left to the air through the bed (ash on the grate)
    loss_climb: float = 1.0  # how many times the heat goes through the walls in the climb (a gap, rain, wind)
    pieces: tuple[tuple[float, float], ...] = ((0.42, 0.038), (0.43, 0.039))
    overrides: dict[str, float] = field(default_factory=dict)


@dataclass
class Cook:
    """`rows` are columns of readings; `marks` (at_s, kind, value); `climb_s` when the climb began, `fuel_kg` truth."""

    rows: dict[str, np.ndarray]
    marks: list[tuple[float, str, float]]
    climb_s: float
    truth: dict[str, np.ndarray]
    story: Story
    name: str


def _lose(plant: Any, times: float) -> None:
    """Let `times` as much heat into the walls and off them."""
    for name in ("_inner_wk", "_dome_wk", "_base_wk"):
        if hasattr(plant, name):
            setattr(plant, name, getattr(plant, name) * times)
    for name in ("outer_h", "outer_still_h", "outer_h_wind"):
        if name in plant.c:
            plant.c[name] *= times


class Run:
    """One cook, second by second."""

    def __init__(self, name: str, draw: int, story: Story) -> None:
        self.name, self.story = name, story
        self.plant: Any = make(name, draw, draw, **story.overrides)
        self.plant.put_out()
        self.world = World(
            self.plant, ambient_c=story.ambient_c, wind_mps=story.wind_mps, seed=draw, vent_top=story.vent_top
        )
        self.controller = Controller(n_core=1)
        self.inputs: Any = Inputs(1)
        self.t_s = 0
        self.rows: list[tuple[float, ...]] = []
        self.truth: list[tuple[float, ...]] = []
        self.marks: list[tuple[float, str, float]] = []
        self.mending = 1.0  # by what the walls' losses are multiplied each second while a gap is being closed
        self.mend_s = 0

    def order(self, name: str, **args: Any) -> None:
        """Order what a person at the cooker would."""
        answer = self.controller.order(name, args, self.t_s * 1000)
        assert answer == ("", ""), answer

    def mark(self, kind: str, value: float = 0.0) -> None:
        """Note what was done."""
        self.marks.append((float(self.t_s), kind, value))

    def seconds(self, count: float) -> None:
        """Let time pass."""
        for _ in range(int(count)):
            self._second()

    def _second(self) -> None:
        self.t_s += 1
        world, inputs = self.world, self.inputs
        if self.mend_s > 0:
            self.mend_s -= 1
            _lose(self.plant, self.mending)
        truth = world.advance(1.0)
        inputs.pit_c, inputs.stone_c, inputs.board_c = world.pit_c, world.stone_c, world.board_c
        inputs.core_c[0], inputs.tach_rpm = world.probe_c(0), world.tach_rpm
        out = self.controller.tick(self.t_s * 1000, inputs)
        world.set_air(out.drive, out.opening)
        self.controller.events.clear()
        if self.t_s % int(EVERY_S) == 0:
            opening = 1.0 if out.opening is None else out.opening
            self.rows.append((self.t_s, world.pit_c, world.stone_c, out.duty, out.drive, opening, world.lid_open))
            self.truth.append(
                (truth["stone_face_c"], truth["fuel_kg"], truth["airflow_gps"], truth["o2"], truth["heat_w"])
            )

    def lid(self, is_open: bool) -> None:
        """Lift or shut the lid, and say so."""
        (self.world.open_lid if is_open else self.world.shut_lid)()
        self.order("lid", open=is_open)

    def vent(self, opening: float) -> None:
        """Move the top vent, mark it and tell the board."""
        self.world.set_vent_top(opening)
        self.order("vent", vent="top", opening=opening)
        self.mark("vent_top", opening)

    def until_steady(self, target_c: float, longest_s: float = 5400.0) -> None:
        """Come up to the target and stay near it for a quarter of an hour."""
        near = 0
        for _ in range(int(longest_s)):
            self._second()
            near = near + 1 if abs((self.world.pit_c or 0.0) - target_c) < 6.0 else 0
            if near > 900:
                return

    def light(self) -> None:
        """Light it and come up."""
        self.plant.light()
        self.mark("lit")
        self.vent(self.story.vent_top)
        self.order("mode", mode="hold", phase="light", target_c=self.story.slow_c, at_cooker=True)
        self.until_steady(self.story.slow_c)

    def slow(self) -> list[int]:
        """Set the parts in, put the pieces on, hold."""
        self.order("mode", mode="hold", phase="slow", target_c=self.story.slow_c, at_cooker=True)
        self.lid(True)
        self.seconds(75)
        self.world.set_in(6.0, self.story.ambient_c)
        self.mark("set_up", 6.0)
        self.lid(False)
        self.seconds(900)
        self.lid(True)
        self.seconds(30)
        on = [self.world.put_on("piece", mass, thick, 5.0) for mass, thick in self.story.pieces]
        self.mark("piece_on", sum(mass for mass, _ in self.story.pieces))
        self.lid(False)
        self.seconds(self.story.slow_s)
        return on

    def climb(self, on: list[int]) -> float:
        """Pieces out, vent open, drive; returns when it began."""
        self.lid(True)
        self.seconds(30)
        for index in on:
            self.world.take_off(index)
        self.mark("pulled", 0.0)
        self.lid(False)
        self.seconds(120)
        story = self.story
        if story.fuel_left_kg is not None:
            self.world.plant.lose_fuel(story.fuel_left_kg)
        self.plant.draught.bed_pass *= story.choke_climb
        if story.loss_climb != 1.0:
            _lose(self.plant, story.loss_climb)
        self.vent(1.0)
        self.world.set_vent_top(story.vent_climb)
        began_s = float(self.t_s)
        self.order(
            "mode", mode="drive", phase="climb", stone_c=story.stone_c, pit_limit_c=350.0,
            longest_s=story.climb_s, at_cooker=True,
        )  # fmt: skip
        self.mark("climb", story.stone_c)
        for _ in range(int(story.climb_s)):
            self._second()
            if (self.world.stone_c or 0.0) >= story.stone_c:
                break
        self.seconds(60)
        return began_s

    def heed(self, limit: str) -> None:
        """Do what the advice for this limit says."""
        if limit == "air":
            self.world.set_vent_top(1.0)
            self.plant.draught.bed_pass /= self.story.choke_climb
        elif limit == "fuel":
            self.world.add_fuel(1.0)
            self.world.light()  # some of it is lit already
        elif limit == "loss" and self.story.loss_climb != 1.0:
            # Not in one second: a pit that leaps by 40 degC looks like a grease fire to the board, and is stopped.
            self.mend_s, self.mending = MEND_S, (1.0 / self.story.loss_climb) ** (1.0 / MEND_S)

    def drive_on(self, seconds: float, stop: bool = False) -> list[float]:
        """Go on with all air, or stop; what the stone reads each EVERY_S."""
        args = {"mode": "off"} if stop else {
            "mode": "drive", "phase": "climb", "stone_c": self.story.stone_c, "pit_limit_c": 350.0,
            "longest_s": 3600.0, "at_cooker": True,
        }  # fmt: skip
        self.controller.order("acknowledge", {"id": "all"}, self.t_s * 1000)
        self.order("mode", **args)
        before = len(self.rows)
        self.seconds(seconds)
        return [float(row[2] or 0.0) for row in self.rows[before:]]

    def done(self, climb_s: float) -> Cook:
        """The record."""
        names = ("t_s", "pit_c", "stone_c", "duty", "drive", "opening", "lid_open")
        rows = {n: np.array(c, float) for n, c in zip(names, zip(*self.rows, strict=True), strict=True)}
        names = ("face_c", "fuel_kg", "air_gps", "o2", "heat_w")
        truth = {n: np.array(c, float) for n, c in zip(names, zip(*self.truth, strict=True), strict=True)}
        return Cook(rows, self.marks, climb_s, truth, self.story, self.name)


def cook(name: str, draw: int, story: Story | None = None) -> Cook:
    """Light, soak, set up, slow, climb."""
    run = Run(name, draw, story or Story())
    run.light()
    return run.done(run.climb(run.slow()))
