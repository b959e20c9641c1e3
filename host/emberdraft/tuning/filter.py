"""Following a recorded cook with the model: what it expects, what surprised it, and what it believes at each moment.

The surprise corrects level and disturbance slowly (critically damped, MEMORY_S), and a little wall and fire, so that
the model has to explain by itself what happens faster. With the lid open it only follows: a lift is not the model's
to explain.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from emberdraft.tuning.model import STEP_S, Array, State, advance, air, constants
from emberdraft.tuning.record import Cook

MEMORY_S = 600.0
FOLLOW_S = 10.0
WALL_S = 3000.0
FIRE_PER_CS = 2e-5
AFTER_LID_S = 300.0
# How much more the top vent lets through than the intake does, both open: an assumption, for what-ifs with vents.
TOP_TO_INTAKE = 3.0


@dataclass(frozen=True)
class Strip:
    """A stretch of a cook: drive, opening and vents each second; pit and `follow` (lid, gap) in steps of STEP_S."""

    drive: Array
    opening: Array
    vents: Array
    pit_c: Array
    follow: Array
    ambient_c: float

    def until(self, steps: int) -> Strip:
        """The first `steps` steps."""
        n = steps * STEP_S
        each = replace(self, drive=self.drive[:n], opening=self.opening[:n], vents=self.vents[:n])
        return replace(each, pit_c=self.pit_c[:steps], follow=self.follow[:steps])

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.pit_c)


def strip_of(cook: Cook, first: int, last: int, ambient_c: float) -> Strip:
    """Rows first..last of a cook, in whole steps."""
    last = first + (last - first) // STEP_S * STEP_S
    part = slice(first, last)
    shape = (-1, STEP_S)
    pit = cook["pit_c"][part].reshape(shape)
    count = np.isfinite(pit).sum(axis=1)
    mean = np.where(count > 0, np.nansum(pit, axis=1) / np.maximum(count, 1), np.nan)
    lid = np.nan_to_num(cook["lid_open"][part]).reshape(shape).max(axis=1)
    opening = cook["opening"][part] * bottom(cook)[part]
    return Strip(cook["drive"][part], opening, vent_factor(cook)[part], mean, _follow(lid), ambient_c)


def bottom(cook: Cook) -> Array:
    """The hand-set bottom vent's share against how it stood first (1 where none was noted)."""
    return _against_first(cook.vent_bottom, cook.length)


def vent_factor(cook: Cook, vent_top: Array | None = None) -> Array:
    """How a moved top vent changes the air, against how it stood at first: two orifices in series."""
    stood = cook.vent_top
    if stood is None or not np.isfinite(stood).any():
        return np.ones(cook.length)
    first = float(stood[np.isfinite(stood)][0])
    values = np.where(np.isfinite(stood), stood, first) if vent_top is None else vent_top
    return through(values) / through(np.array(max(first, 0.02)))


def through(vent_top: Array) -> Array:
    """Relative flow through intake and top vent in series (flow goes with conductance, 1/G^2 adds)."""
    return np.asarray(1.0 / np.sqrt(1.0 + 1.0 / (TOP_TO_INTAKE * np.maximum(vent_top, 0.02)) ** 2))


def _against_first(values: Array | None, length: int) -> Array:
    if values is None or not np.isfinite(values).any():
        return np.ones(length)
    first = float(values[np.isfinite(values)][0])
    return np.nan_to_num(values, nan=first) / max(first, 0.02)


def _follow(lid: Array) -> Array:
    after = int(AFTER_LID_S / STEP_S)
    spread = np.convolve(lid > 0.0, np.ones(after + 1))[: len(lid)]
    return np.asarray(spread > 0.0, float)


@dataclass(frozen=True)
class Followed:
    """surprise_c (steps, guesses), NaN where it only followed; the state at the end; the guesses' constants."""

    surprise_c: Array
    state: State
    constants: dict[str, Any]


def relative_air(c: dict[str, Any], strip: Strip) -> Array:
    """The air that reaches the fire at each step, a dead time later, (steps, guesses)."""
    each = air(c, strip.drive[:, None], strip.opening[:, None]) * strip.vents[:, None]
    mean = each.reshape(-1, STEP_S, each.shape[1]).mean(axis=1)
    steps, guesses = mean.shape
    place = np.arange(steps)[:, None] - c["delay_s"][None, :] / STEP_S
    low = np.floor(place).astype(int)
    share, column = place - low, np.arange(guesses)[None, :]
    earlier, later = (np.clip(k, 0, steps - 1) for k in (low, low + 1))
    return np.asarray(mean[earlier, column] * (1.0 - share) + mean[later, column] * share)


def begin(strip: Strip, a: Array) -> State:
    """At the first reading: no more fire than the first air feeds, wall as warm as the pit."""
    known = strip.pit_c[np.isfinite(strip.pit_c)]
    start_c = float(known[0]) if known.size else strip.ambient_c
    one = np.ones(a.shape[1])
    return State(a[0] * 1.0, 0.0 * one, start_c * one, start_c * one, 0.0 * one)


def follow(z: Array, strip: Strip, until: int | None = None) -> Followed:
    """All guesses z through the strip; from step `until` on nothing is corrected: a pure prediction."""
    c = constants(np.atleast_2d(z))
    a = relative_air(c, strip)
    state = begin(strip, a)
    surprise = np.full(a.shape, np.nan)
    corrected = strip.steps if until is None else until
    for i in range(strip.steps):
        advance(c, state, a[i], strip.ambient_c, float(STEP_S))
        measured = strip.pit_c[i]
        if measured != measured:
            continue
        miss = measured - state.pit_c
        if not strip.follow[i]:
            surprise[i] = miss
        if i < corrected:
            correct(state, miss, bool(strip.follow[i]), float(STEP_S))
    return Followed(surprise, state, c)


def correct(state: State, miss_c: Any, only_follow: bool, dt_s: float) -> None:
    """Hand a surprise to level and disturbance; under a lid to the level alone."""
    if only_follow:
        state.pit_c = state.pit_c + miss_c * min(1.0, dt_s / FOLLOW_S)
        return
    state.pit_c = state.pit_c + miss_c * (2.0 * dt_s / MEMORY_S)
    state.d_cps = state.d_cps + miss_c * (dt_s / MEMORY_S**2)
    state.wall_c = state.wall_c + miss_c * (dt_s / WALL_S)
    state.f2 = state.f2 + miss_c * (dt_s * FIRE_PER_CS)
