"""The stone: when it will be ready under full air, and when to start so that it is ready as the rest ends.

*Ready* is the bead within a few degrees of what is wanted. Recovery between sides is the same question asked again.
Where there is no stone probe the same is said of the twin's stone, and it is an estimate: never call it measured.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from emberdraft.ready.climb import FULL_AIR, Air, climb
from emberdraft.ready.fit import Fit, fit, live_through
from emberdraft.ready.trace import Array, Trace
from emberdraft.ready.twin import Constants, State

DRAWS = 80
LONGEST_S = 5400.0
NEAR_C = 5.0  # hot: the bead within so much of what is wanted; the last degrees come by coasting
SPREAD = 0.20  # log of the time: what the twin does not know of any real climb (from the cookers it was made on)
MIN_SPREAD_S = 20.0
LATER_ROUNDS = 2


@dataclass(frozen=True)
class StoneSaid:
    """Seconds from now: middle, 80 % interval; None: not within the time looked at. `reaches`: share of the guesses
    that get there; `measured` is false where there is no stone probe; `now_c` the stone now by the guesses, degC."""

    ready_s: float | None
    low_s: float | None
    high_s: float | None
    reaches: float
    measured: bool
    fit: Fit
    now_c: tuple[float, float, float] = (float("nan"), float("nan"), float("nan"))


def as_it_stands(trace: Trace, found: Fit, count: int = DRAWS) -> tuple[Constants, State]:
    """Guesses of the cooker at the end of the trace, set to what pit and stone read there."""
    c, course = live_through(found.draw(count), trace)
    state = course.state
    stone_c = _last(trace.stone_c)
    if stone_c is not None:
        shift = stone_c - state.stone_c
        state.stone_c = state.stone_c + shift
        state.under_c = state.under_c + shift
    pit_c = _last(trace.pit_c)
    if pit_c is not None and trace.lid[-1] == 0.0:
        shift = pit_c - state.pit_c
        state.pit_c, state.box_c = state.pit_c + shift, state.box_c + 0.5 * shift
    return c, state


def stone_ready(
    trace: Trace, target_c: float, known: Fit | None = None, air: Air = FULL_AIR, longest_s: float = LONGEST_S,
    near_c: float = NEAR_C,
) -> StoneSaid:  # fmt: skip
    """When the stone will be within `near_c` of `target_c` if all air is given from now on.

    `known`: what an earlier call found.
    """
    target_c -= near_c
    found = fit(trace, known, LATER_ROUNDS) if known is not None else fit(trace)
    c, state = as_it_stands(trace, found)
    low_c, mid_c, high_c = (float(q) for q in np.quantile(state.stone_c, (0.1, 0.5, 0.9)))
    now = (low_c, mid_c, high_c)
    measured = _last(trace.stone_c) is not None
    if measured and float(np.median(state.stone_c)) >= target_c:
        return StoneSaid(0.0, 0.0, 0.0, 1.0, True, found, now)
    times = climb(c, state, trace, target_c, longest_s, air).ready_s
    rng = np.random.default_rng(1)
    blurred = times * np.exp(SPREAD * rng.standard_normal(times.size)) + MIN_SPREAD_S * rng.standard_normal(times.size)
    low, mid, high = _within(blurred, 0.1, longest_s), _within(times, 0.5, longest_s), _within(blurred, 0.9, longest_s)
    low = low if low is None or mid is None else min(low, mid)
    reaches = float(np.mean(np.isfinite(times)))
    return StoneSaid(mid, low, high if high is not None or mid is None else longest_s, reaches, measured, found, now)


@dataclass(frozen=True)
class ClimbStart:
    """When to start the climb (unix s), and how much later than the rest's end the stone is then (s, 0: not)."""

    start_s: float
    ready_s: float
    late_s: float


def climb_start(rest_ends_s: float, earliest_s: float, takes_s: float) -> ClimbStart:
    """Start so that the stone is ready as the rest ends, but not before `earliest_s` (pieces out, lid shut)."""
    start_s = max(earliest_s, rest_ends_s - takes_s)
    return ClimbStart(start_s, start_s + takes_s, max(0.0, start_s + takes_s - rest_ends_s))


def without_probe(trace: Trace) -> Trace:
    """The same cook as if no stone probe had been there."""
    return replace(trace, stone_c=np.full(trace.length, np.nan))


def crust_s(stone_c: float) -> float:
    """Seconds a side for a brown crust at the stone's temperature: a rule of thumb, common practice, no source.

    75 s at 260 degC, half of it for each 40 degC more, between 30 s and 4 min.
    """
    return float(min(240.0, max(30.0, 75.0 * 2.0 ** ((260.0 - stone_c) / 40.0))))


def _last(values: Array) -> float | None:
    good = values[-6:][np.isfinite(values[-6:])]
    return float(np.mean(good[-2:])) if good.size else None


def _within(times: Array, share: float, longest_s: float) -> float | None:
    value = float(np.quantile(np.where(np.isfinite(times), times, 10.0 * longest_s), share, method="lower"))
    return max(0.0, value) if value <= longest_s else None
