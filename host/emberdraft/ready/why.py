"""Why is it not hotter? Which limit binds: air, fuel, heat loss or time; and what would help, tried on the twin first.

The twin was found from the cook before the climb. From there each suspicion is one change (little air through, little
fuel left, much loss, or none) that lives through the climb with the air that was really given; the one whose pit and
stone are nearest to the readings is named. The top vent is asked first in any case: nothing else is as often forgotten.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from emberdraft.ready.climb import FULL_AIR, Air, climb
from emberdraft.ready.fit import Fit, fit
from emberdraft.ready.stone import as_it_stands
from emberdraft.ready.trace import STEP_S, Array, Trace, part
from emberdraft.ready.twin import Constants, State, run

DRAWS = 10
OPEN = 0.9
MISS_C, MISS_SHARE = 5.0, 0.12  # what the twin misses of a climb: a floor, and a share of the rise
MEMORY_S = 600.0
TRY_S = 900.0
PATIENCE_S = 2700.0
NEAR_C = 5.0
MORE = 1.4
VENTS = (0.004, 0.02, 0.06, 0.15, 0.35)
FUELS_KG = (0.03, 0.06, 0.10, 0.15, 0.22, 0.32)
LOSSES = (2.0, 4.0, 8.0, 16.0)
# (limit, size of the change): what is suspected. `time` is no change: all is well, it only takes longer.
SUSPECTS = (
    ("time", 1.0),
    *(("air", x) for x in VENTS),
    *(("fuel", x) for x in FUELS_KG),
    *(("loss", x) for x in LOSSES),
)
ASK_FIRST = "Is the top vent fully open, and the lid shut?"
FALLEN_C, FALLING_ODDS = 4.0, 200.0
LEAST_STEPS = 8  # of 20 s, with a reading in them
PENALTY = {"time": 0.0, "air": 1.6, "fuel": 1.2, "loss": 1.2}
ADVICE = {
    "air": "Open the top vent fully and look that nothing blocks the bottom vent, the grate or the ash below it",
    "fuel": "Put charcoal on, some of it lit already: what burns now is too little to light much, whatever the air",
    "loss": "Shelter the cooker from the wind, look at the lid's gasket, and shut the lid fully",
    "time": "Let it go on: it is still rising",
}


@dataclass(frozen=True)
class Why:
    """The limit that binds, how sure (0..1), and the stone in TRY_S s as it goes on and with the advice, degC."""

    limit: str
    sure: float
    ask_first: str
    advice: str
    as_it_is_c: float
    with_advice_c: float
    air_gps: float
    oxygen_used: float


def why_not_hotter(
    trace: Trace, climb_at_s: float, target_c: float, known: Fit | None = None, air: Air = FULL_AIR
) -> Why:
    """Judge a climb that began `climb_at_s` s after the trace's first reading and is short of `target_c` at its end.

    `air`: all that this cooker can be given, with a blower or by its draft alone. Raises ValueError for a climb with
    hardly a reading.
    """
    before, during = trace.until(climb_at_s), _driven(part(trace, climb_at_s))
    heard = int(np.count_nonzero(np.isfinite(during.pit_c)))
    if heard < LEAST_STEPS:
        raise ValueError(f"the climb was heard in {heard} steps; {LEAST_STEPS} are the least to judge it by")
    found = known or fit(before)
    c, state = as_it_stands(before, found, DRAWS)
    c, state = _suspected(c, state)
    course = run(c, during, state)
    odds = _odds(course.pit_c, course.stone_c, during)
    vent_open = float(during.vent_top[-1]) >= OPEN
    limit = max(odds, key=lambda name: odds[name]) if vent_open else "air"
    best = _best_column(course.pit_c, course.stone_c, during, limit)
    sure = odds[limit] if vent_open else 1.0
    if limit == "time":
        limit, sure = _by_nature(c, state, during, target_c, best, sure, air)
    as_it_is, helped = _tried(c, state, during, target_c, limit, best, vent_open, air)
    air_gps, used = float(np.median(course.air_gps[-15:, best])), float(state.uptake[best])
    return Why(limit, sure, ASK_FIRST, ADVICE[limit], as_it_is, helped, air_gps, used)


def _driven(during: Trace) -> Trace:
    """Without what comes after the blower has been let go."""
    on = np.flatnonzero(during.speed > 0.05)
    return during.until(float(during.t_s[on[-1]])) if on.size else during


def _suspected(c: Constants, state: State) -> tuple[Constants, State]:
    """Every guess under every suspicion, side by side: suspicion by suspicion."""
    again = np.tile(np.arange(DRAWS, dtype=np.int64), len(SUSPECTS))
    c = {name: values[again].copy() for name, values in c.items()}
    state = state.take(again)
    for i, (limit, size) in enumerate(SUSPECTS):
        rows = slice(i * DRAWS, (i + 1) * DRAWS)
        if limit == "air":
            _choke(c, rows, size)
        elif limit == "fuel":
            state.fuel_kg[rows] = np.minimum(state.fuel_kg[rows], size)
            state.lit_kg[rows] = np.minimum(state.lit_kg[rows], size)
        elif limit == "loss":
            _lose(c, rows, size)
    return c, state


def _choke(c: Constants, rows: slice | int, size: float) -> None:
    """Less way for the air: of what a shut vent leaves, a little goes as well (ash, a blocked grate)."""
    c["vent"][rows] *= size
    c["leak"][rows] *= size**0.35
    c["bed"][rows] *= size**0.25


def _lose(c: Constants, rows: slice | int, size: float) -> None:
    c["wall_out_w_k"][rows] *= size
    c["wall_in_w_k"][rows] *= size**0.6


def _distances(pit_c: Array, stone_c: Array, during: Trace) -> Array:
    """Squared distance of every column to the readings, near readings sharing their weight."""
    total = np.zeros(pit_c.shape[1])
    for said, read in ((pit_c, during.pit_c), (stone_c, during.stone_c)):
        rise = np.abs(read - read[np.isfinite(read)][0]) if np.isfinite(read).any() else np.zeros(read.size)
        sigma = np.hypot(MISS_C, MISS_SHARE * rise)[:, None]
        gap = np.where(during.lid[:, None] > 0.0, np.nan, (read[:, None] - said) / sigma)
        total += np.nansum(gap**2, axis=0) * STEP_S / MEMORY_S
    return total


def _odds(pit_c: Array, stone_c: Array, during: Trace) -> dict[str, float]:
    distance = _distances(pit_c, stone_c, during).reshape(len(SUSPECTS), DRAWS)
    score: dict[str, float] = {}
    for i, (limit, _) in enumerate(SUSPECTS):
        fits = float(np.mean(np.exp(-0.5 * np.minimum(distance[i], 600.0)))) + 1e-120
        score[limit] = max(score.get(limit, 0.0), fits * float(np.exp(-PENALTY[limit])))
    if _falling(during):
        score["fuel"] *= FALLING_ODDS
    total = sum(score.values())
    return {limit: value / total for limit, value in score.items()}


def _falling(during: Trace) -> bool:
    """Stone and pit both well under their peak, with the air as it was: only a fire that runs out does that."""
    falls = []
    for read in (during.pit_c, during.stone_c):
        good = read[np.isfinite(read)]
        falls.append(good.size > 0 and float(np.max(good)) - float(np.mean(good[-3:])) > FALLEN_C)
    return all(falls)


def _best_column(pit_c: Array, stone_c: Array, during: Trace, limit: str) -> int:
    distance = _distances(pit_c, stone_c, during)
    mine = np.repeat([name == limit for name, _ in SUSPECTS], DRAWS)
    return int(np.argmin(np.where(mine, distance, np.inf)))


def _by_nature(
    c: Constants, state: State, during: Trace, target_c: float, column: int, sure: float, air: Air
) -> tuple[str, float]:
    """Nothing has gone wrong: then it takes time, or, where time alone will not do, whatever helps this cooker most."""
    four = np.full(4, column)
    c = {name: values[four].copy() for name, values in c.items()}
    state = state.take(four)
    c["blower_pa"][1] *= MORE**2
    c["vent"][1] *= MORE
    c["bed"][1] *= MORE
    state.fuel_kg[2] += 1.0
    state.lit_kg[2] *= MORE
    _lose(c, 3, 1.0 / MORE**2)
    on = climb(c, state, during, target_c, PATIENCE_S, air)
    if float(on.stone_c[:, 0].max()) >= target_c - NEAR_C:
        return "time", sure
    gains = on.stone_c.max(axis=0) - float(on.stone_c[:, 0].max())
    best = int(np.argmax(gains[1:])) + 1
    return ("time", "air", "fuel", "loss")[best], 0.5


def _tried(
    c: Constants, state: State, during: Trace, target_c: float, limit: str, column: int, vent_open: bool, air: Air
) -> tuple[float, float]:
    """The stone after TRY_S as it goes on, and with the advice followed, on the twin that fits best."""
    two = np.array([column, column])
    c = {name: values[two].copy() for name, values in c.items()}
    state = state.take(two)
    suspect, size = SUSPECTS[column // DRAWS]
    size = size if suspect == limit else (1.0 / MORE if limit == "air" else MORE**2)
    if limit == "air" and vent_open:
        _choke(c, 1, 1.0 / size)
    elif limit == "air":
        c["vent"][0] *= float(during.vent_top[-1])
    elif limit == "fuel":
        state.fuel_kg[1] += 1.0
        state.lit_kg[1] += c["lit_kg"][1]
    elif limit == "loss":
        _lose(c, 1, 1.0 / size)
    now_c = float(state.stone_c[0])
    on = climb(c, state, during, target_c, TRY_S, air)
    as_it_is = now_c if limit == "time" else float(on.stone_c[-1, 0])  # stopping now is the other way to go on
    return as_it_is, float(on.stone_c[-1, 1])
