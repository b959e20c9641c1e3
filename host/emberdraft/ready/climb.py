"""The climb on the twin: all the air there is, until the stone is at its target."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.ready.trace import STEP_S, Array, Trace, ahead
from emberdraft.ready.twin import PRIOR, Constants, State, step
from emberdraft.ready.vents import DOOR

PIT_LIMIT_C = 350.0


@dataclass(frozen=True)
class Air:
    """What the air is set to for a climb: blower, damper (or bottom vent) and top vent, 0..1."""

    speed: float = 1.0
    opening: float = 1.0
    vent_top: float = 1.0


FULL_AIR = Air()
# Without a blower the bottom vent is open where its duct and flap would be: so much more than they let through.
DOOR_AS_DAMPER = DOOR / PRIOR["in_off"][0]
DRAFT_ALONE = Air(speed=0.0, opening=DOOR_AS_DAMPER)


@dataclass(frozen=True)
class Climb:
    """`ready_s` from the start for each guess (inf: not in the time); the rest is (steps, guesses), degC and g/s."""

    ready_s: Array
    stone_c: Array
    pit_c: Array
    uptake: Array
    air_gps: Array


def climb(
    c: Constants, state: State, before: Trace, target_c: float, longest_s: float,
    air: Air = FULL_AIR, limit_c: float = PIT_LIMIT_C,
) -> Climb:  # fmt: skip
    """Drive the stone of every guess from `state` (changed in place) to `target_c`, the pit below `limit_c`."""
    steps = max(1, round(longest_s / STEP_S))
    course = ahead(before, steps, speed=air.speed, opening=air.opening, vent_top=air.vent_top)
    ready = np.full(state.pit_c.size, np.inf)
    out: Array = np.empty((4, steps, state.pit_c.size))
    for i in range(steps):
        was = state.stone_c
        step(c, state, course, i, limit_c)
        crossed = np.isinf(ready) & (state.stone_c >= target_c)
        share = np.clip((target_c - was) / np.maximum(state.stone_c - was, 1e-9), 0.0, 1.0)
        ready[crossed] = (i + share[crossed]) * STEP_S
        out[0, i], out[1, i], out[2, i], out[3, i] = state.stone_c, state.pit_c, state.uptake, state.air_gps
    return Climb(ready, out[0], out[1], out[2], out[3])
