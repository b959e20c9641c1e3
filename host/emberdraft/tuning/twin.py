"""Your cook replayed: model and the board's own controller in lock-step, with other gains, targets, vents.

What surprised the model in the recorded cook (wind, fuel, lids, food) is put back second by second. With nothing
changed the replay therefore is the cook, and what a change does is the model's answer to the changed air alone.
Past the record's end, or in `ahead`, nothing is put back: a plain prediction.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.tuning.filter import AFTER_LID_S, bottom, correct, through, vent_factor
from emberdraft.tuning.identify import Fit
from emberdraft.tuning.model import Array, State, advance, air, constants
from emberdraft.tuning.record import Cook, Order
from emberdraft.tuning.shadow import Shadow

MAX_DELAY_S = 900


@dataclass(frozen=True)
class WhatIf:
    """What is changed: gains by name, pit targets (recorded: wanted), top vent held at a share."""

    gains: dict[str, float] | None = None
    targets: dict[float, float] | None = None
    vent_top: float | None = None


@dataclass(frozen=True)
class Course:
    """Each second: pit and target in degC, blower 0..1, damper 0..1, lid."""

    first: int
    pit_c: Array
    target_c: Array
    duty: Array
    opening: Array
    lid_open: Array

    def iae_cs(self) -> float:
        """Integral of the absolute error with the lid shut, after the target was first reached, degC s."""
        miss = np.abs(self.pit_c - self.target_c)
        near = np.nonzero(miss < 3.0)[0]
        if not near.size:
            return float(np.nansum(miss))
        keep = self.lid_open[near[0] :] == 0.0
        return float(np.nansum(miss[near[0] :][keep]))

    def share_within(self, band_c: float = 3.0) -> float:
        """Share of the time after first reach, lid shut, within the band."""
        miss = np.abs(self.pit_c - self.target_c)
        near = np.nonzero(miss < band_c)[0]
        if not near.size:
            return 0.0
        part = miss[near[0] :][self.lid_open[near[0] :] == 0.0]
        return float(np.mean(part < band_c))

    def most_over_c(self) -> float:
        """Highest excess after the target was first reached."""
        miss = self.pit_c - self.target_c
        near = np.nonzero(np.abs(miss) < 3.0)[0]
        return float(max(0.0, np.nanmax(miss[near[0] :]))) if near.size else 0.0

    def travel(self) -> float:
        """Sum of all changes of the blower's wanted air, in full strokes an hour."""
        return float(np.sum(np.abs(np.diff(self.duty)))) / max(len(self.duty) / 3600.0, 1e-9)


def recorded(cook: Cook, fit: Fit) -> Course:
    """The cook as it was, in the same form."""
    part = slice(fit.first, fit.last)
    lid = np.nan_to_num(cook["lid_open"][part])
    opening = cook["opening"][part]
    return Course(fit.first, cook["pit_c"][part], cook["target_c"][part], cook["duty"][part], opening, lid)


def replay(cook: Cook, fit: Fit, what_if: WhatIf, z: Array | None = None) -> Course:
    """The whole held stretch again under `what_if`; `z` another guess of the constants than the best."""
    runner = _Runner(cook, fit, fit.z if z is None else z, what_if)
    return runner.run(fit.first, fit.last)


def ahead(cook: Cook, fit: Fit, seconds: int, orders: tuple[Order, ...] = (), z: Array | None = None) -> Course:
    """After the fitted stretch: the board's controller on the model, orders counted from its first second."""
    runner = _Runner(cook, fit, fit.z if z is None else z, WhatIf())
    runner.run(fit.first, fit.last)
    return runner.go_on(seconds, orders)


class _Runner:
    """The recorded cook (`was`) and the changed one (`now`), side by side through the same model."""

    def __init__(self, cook: Cook, fit: Fit, z: Array, what_if: WhatIf) -> None:
        self.cook, self.fit = cook, fit
        self.c = constants(z)
        self.delay = min(round(self.c["delay_s"]), MAX_DELAY_S)
        self.shadow = Shadow(cook, what_if.gains)
        self.shadow.aim(what_if.targets or {})
        self.vents = vent_factor(cook)
        self.changed = self.vents
        if what_if.vent_top is not None:
            self.changed = self.vents * _against(cook, what_if.vent_top)
        self.bottom = bottom(cook)
        self.opening = 1.0

    def run(self, first: int, last: int) -> Course:
        for row in range(first):
            self.shadow.tick(self.cook["pit_c"][row])
        cook, c = self.cook, self.c
        start_c = float(cook["pit_c"][first : first + 60][np.isfinite(cook["pit_c"][first : first + 60])][0])
        a0 = float(air(c, cook["drive"][first], cook["opening"][first]))
        self.was = State(a0, 0.0, start_c, start_c, 0.0)
        self.now = State(a0, 0.0, start_c, start_c, 0.0)
        self.line_was, self.line_now = [a0] * (self.delay + 1), [a0] * (self.delay + 1)
        self.quiet_s = 0.0
        rows = [self._second(row) for row in range(first, last)]
        return _course(first, rows)

    def _second(self, row: int) -> tuple[float, ...]:
        cook, was, now = self.cook, self.was, self.now
        measured = float(cook["pit_c"][row])
        seen_c = measured + (now.pit_c - was.pit_c) if measured == measured else None
        out = self.shadow.tick(seen_c)
        self.opening = self.opening if out.opening is None else float(out.opening)
        drive = float(cook["drive"][row])
        a_was = air(self.c, drive, float(cook["opening"][row]) * self.bottom[row]) * self.vents[row]
        a_now = air(self.c, float(out.drive), self.opening * self.bottom[row]) * self.changed[row]
        self._move(a_was, a_now)
        self._put_back(row, measured)
        shown_c = measured + (now.pit_c - was.pit_c) if measured == measured else float("nan")
        wanted_c = float("nan") if out.target_c is None else float(out.target_c)
        return shown_c, wanted_c, float(out.duty), self.opening, float(out.lid_open)

    def _move(self, a_was: float, a_now: float) -> None:
        ambient_c = self.fit.strip.ambient_c
        self.line_was.append(float(a_was))
        self.line_now.append(float(a_now))
        advance(self.c, self.was, self.line_was.pop(0), ambient_c, 1.0)
        advance(self.c, self.now, self.line_now.pop(0), ambient_c, 1.0)

    def _put_back(self, row: int, measured: float) -> None:
        """Both get the surprise of the recorded cook: the same wind blew, the same lid was lifted."""
        lid = self.cook["lid_open"][row] > 0.0
        self.quiet_s = 0.0 if lid else self.quiet_s + 1.0
        if measured != measured:
            return
        miss_c = measured - self.was.pit_c
        only_follow = self.quiet_s < AFTER_LID_S and row > self.fit.first + AFTER_LID_S
        correct(self.was, miss_c, only_follow, 1.0)
        correct(self.now, miss_c, only_follow, 1.0)

    def go_on(self, seconds: int, orders: tuple[Order, ...]) -> Course:
        """A plain prediction from where `run` ended."""
        shadow, s = self.shadow, self.now
        todo = sorted(orders, key=lambda order: order[0])
        rows: list[tuple[float, ...]] = []
        vents = float(self.changed[self.fit.last - 1])
        for k in range(seconds):
            while todo and todo[0][0] <= k:
                shadow.give(*todo.pop(0)[1:])
            out = shadow.tick_alone(s.pit_c)
            self.opening = self.opening if out.opening is None else float(out.opening)
            self.line_now.append(float(air(self.c, float(out.drive), self.opening)) * vents)
            advance(self.c, s, self.line_now.pop(0), self.fit.strip.ambient_c, 1.0)
            wanted_c = float("nan") if out.target_c is None else float(out.target_c)
            rows.append((s.pit_c, wanted_c, float(out.duty), self.opening, float(out.lid_open)))
        return _course(self.fit.last, rows)


def _against(cook: Cook, vent_top: float) -> Array:
    """Air with the top vent at `vent_top` over that as it stood (a quarter where nobody noted it)."""
    stood = np.full(cook.length, 0.25) if cook.vent_top is None else np.nan_to_num(cook.vent_top, nan=0.25)
    return np.asarray(through(np.full(cook.length, vent_top)) / through(stood))


def _course(first: int, rows: list[tuple[float, ...]]) -> Course:
    pit, wanted, duty, opening, lid = (np.array(column) for column in zip(*rows, strict=True))
    return Course(first, pit, wanted, duty, opening, lid)
