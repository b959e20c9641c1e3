"""From the table back: when to light and when each piece goes on, so that dinner is on time so and so often.

The slack lies before the food: a pit can wait, a chop that is done cannot. Pieces that must not wait are set so that
they are ready together; what is hot enough to wait safely has its own slack.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from emberdraft.evening.draws import Draws, Lived, live
from emberdraft.evening.wanted import Food, Wanted
from emberdraft.food.safety_rows import HOT_AIR_C, ZONE_HOT_LONGEST_S, ZONE_LONGEST_S
from emberdraft.food.slabs import Array

SURE, EVEN = 0.9, 0.5
GRACE_S = 300.0  # on the table within five minutes is on time
LONG_AGO_S = 7.0 * 86400.0
SHARES = (0.91, 0.92, 0.93, 0.94, 0.95, 0.96, 0.97, 0.98)  # of the evenings in which the food alone is done in time
WAITS_C = 60.0  # 140 degF: what is hotter may wait (USDA)
ROUNDED_S = 300.0


@dataclass(frozen=True)
class Schedule:
    """Hours in s on the clock of `serve_s`: of lighting for SURE (None: never that sure) and EVEN, of each piece."""

    serve_s: float
    on_s: tuple[float, ...]
    light_s: float | None
    even_s: float | None


def may_wait(food: Food, wanted: Wanted) -> bool:
    """Whether it is pulled hot enough to wait in a warm box; what is still to be seared does not."""
    return wanted.sear is None and food.pull_c >= WAITS_C


def wait_longest_s(wanted: Wanted) -> float:
    """How long a piece below WAITS_C may stand."""
    return ZONE_HOT_LONGEST_S if wanted.ambient_c > HOT_AIR_C else ZONE_LONGEST_S


def odds(wanted: Wanted, draws: Draws, schedule: Schedule, light_s: float) -> float:
    """In what share of the evenings dinner is on time when lit at `light_s`."""
    ready = live(wanted, draws, light_s, schedule.on_s).ready
    return float(np.mean(ready <= schedule.serve_s + GRACE_S))


def back_from(wanted: Wanted, draws: Draws, serve_s: float) -> Schedule:
    """The schedule for dinner at `serve_s`: the least slack that makes the food alone sure enough."""
    for share in SHARES:
        on_s = tuple(serve_s - s for s in before_s(wanted, draws, share))
        schedule = Schedule(serve_s, on_s, None, None)
        light_s = _latest(wanted, draws, schedule, SURE)
        if light_s is not None:
            light_s = min(light_s, _for_pit(draws, min(on_s)))
            break
    return replace(schedule, light_s=light_s, even_s=_latest(wanted, draws, schedule, EVEN))


def _for_pit(draws: Draws, on_s: float) -> float:
    """When to light so that the pit is ready for the first piece: an hour lost there is an hour late at the table."""
    pit_s = draws.stages["light"] + draws.stages["soak"] + draws.stages["settle"]
    return _rounded(on_s - float(np.quantile(pit_s, SURE)))


def _rounded(at_s: float) -> float:
    return at_s - at_s % ROUNDED_S


def before_s(wanted: Wanted, draws: Draws, share: float) -> tuple[float, ...]:
    """How long before dinner each piece goes on, so that it alone is in time in `share` of the evenings, s."""
    own = [a + b + c for a, b, c in zip(draws.put_on, draws.on_grate, draws.pull, strict=True)]
    tails = [_tail(food, wanted, draws) for food in wanted.foods]
    middles = [float(np.median(times)) for times in own]
    stiff = [i for i, food in enumerate(wanted.foods) if not may_wait(food, wanted)]
    late = [own[i] - middles[i] + tails[i] for i in stiff]
    slack = float(np.quantile(np.max(late, axis=0), share)) if late else 0.0
    before = []
    for i, food in enumerate(wanted.foods):
        wished = middles[i] + slack if i in stiff else float(np.quantile(own[i] + tails[i], share))
        before.append(min(wished, _standing(food, wanted, own[i])))
    return tuple(before)


def _tail(food: Food, wanted: Wanted, draws: Draws) -> Array:
    """From a piece that is out to dinner, s: its rest, or all that the sear takes."""
    if wanted.sear is None:
        return np.full(draws.on_stone.size, food.rest_s)
    return np.asarray(np.maximum(draws.ask_climb + draws.stages["climb"], food.rest_s) + draws.on_stone)


def _standing(food: Food, wanted: Wanted, own: Array) -> float:
    """The most before dinner so that, done early, it does not stand too long below WAITS_C."""
    if food.pull_c >= WAITS_C:
        return np.inf
    return float(np.quantile(own, 1.0 - SURE)) + wait_longest_s(wanted)


def _latest(wanted: Wanted, draws: Draws, schedule: Schedule, share: float) -> float | None:
    """The latest hour of lighting with odds of `share`; they never rise with a later one."""
    early, late = schedule.serve_s - LONG_AGO_S, schedule.serve_s
    if odds(wanted, draws, schedule, early) < share:
        return None
    while late - early > 1.0:
        mid = 0.5 * (early + late)
        early, late = (mid, late) if odds(wanted, draws, schedule, mid) >= share else (early, mid)
    return _rounded(early)


def as_soon_as_can_be(wanted: Wanted, draws: Draws, light_s: float) -> tuple[float, float]:
    """When dinner is ready if lit at `light_s` and all goes on at once: nine times in ten, and even odds, s."""
    ready = live(wanted, draws, light_s).ready
    return float(np.quantile(ready, SURE)), float(np.quantile(ready, EVEN))


def moments(wanted: Wanted, lived: Lived) -> list[tuple[str, Array]]:
    """Every step of the evenings with its name, in the order of the evening."""
    rows = [("set in" if wanted.parts_kg is not None else "soaked", lived.set_in)]
    rows += [(f"{food.letter} on", at) for food, at in zip(wanted.foods, lived.on, strict=True)]
    rows += [(f"{food.letter} out", at) for food, at in zip(wanted.foods, lived.pulled, strict=True)]
    if wanted.sear is not None:
        rows += [("climb", lived.climb), ("sear", lived.sear)]
    return [*sorted(rows, key=lambda row: float(np.median(row[1]))), ("ready", lived.ready)]
