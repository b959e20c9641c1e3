"""An evening that is going on: what is to come, and what a change makes of it, in the same drawn evenings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from emberdraft.evening.bodies import left_s
from emberdraft.evening.draws import Draws, draw, live
from emberdraft.evening.habits import Habit
from emberdraft.evening.past import Band, Past
from emberdraft.evening.schedule import GRACE_S, SHARES, before_s, moments
from emberdraft.evening.wanted import Wanted

COUNT = 150
QUANTILES = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Evening:
    """What is wanted, what has been, when dinner should be (unix s), and the cores of the pieces that are in."""

    wanted: Wanted
    past: Past
    serve_s: float | None
    cores_c: Mapping[str, float]


@dataclass(frozen=True)
class Outlook:
    """Each step with its band in unix s, `ready` the last; `sure`: the odds of being on time, None without an hour."""

    steps: tuple[tuple[str, Band], ...]
    sure: float | None

    @property
    def ready_s(self) -> Band:
        """When dinner is ready: low, middle, high (80 %)."""
        return self.steps[-1][1]


def outlook(evening: Evening, known: Mapping[str, Habit], count: int = COUNT) -> Outlook:
    """Some hundredths of a second."""
    return _seen(evening, _drawn(evening, known, count))


def _drawn(evening: Evening, known: Mapping[str, Habit], count: int) -> Draws:
    told = [f.letter for f in evening.wanted.foods if f.letter in evening.past.outs or _out(evening, f.letter)]
    return draw(evening.wanted, known, 0, count, told)


def _out(evening: Evening, letter: str) -> bool:
    return f"{letter} out" in evening.past.moments


def _seen(evening: Evening, draws: Draws) -> Outlook:
    past = evening.past
    lived = live(evening.wanted, draws, past.moments.get("lit", past.now_s), None, past)
    steps = tuple((name, _band(at)) for name, at in moments(evening.wanted, lived))
    serve_s = evening.serve_s
    return Outlook(steps, None if serve_s is None else float(np.mean(lived.ready <= serve_s + GRACE_S)))


def _band(at: np.ndarray) -> Band:
    low, mid, high = (float(q) for q in np.quantile(at, QUANTILES))
    return low, mid, high


def after(before: Evening, changed: Evening) -> Evening:
    """The changed evening with the forecasts of its pieces carried over: to another pull, at another pit.

    The forecast says how long it takes, the drawn bodies by which factor the change alters that.
    """
    foods = {food.letter: food for food in before.wanted.foods}
    outs = dict(changed.past.outs)
    for food in changed.wanted.foods:
        old, band, core_c = foods.get(food.letter), outs.get(food.letter), changed.cores_c.get(food.letter)
        same = old is not None and (old.pull_c, before.wanted.pit_c) == (food.pull_c, changed.wanted.pit_c)
        if old is None or band is None or core_c is None or same:
            continue
        now_s = changed.past.now_s
        was_s, is_s = left_s(old, before.wanted.pit_c, core_c), left_s(food, changed.wanted.pit_c, core_c)
        factor = is_s / max(was_s, 1.0)
        outs[food.letter] = tuple(now_s + factor * (at_s - now_s) for at_s in band)  # type: ignore[assignment]
    return replace(changed, past=replace(changed.past, outs=outs))


def on_for_dinner(evening: Evening, known: Mapping[str, Habit]) -> dict[str, float]:
    """When each piece that waits goes on so that it is ready at the hour of dinner, unix s; never before now."""
    if evening.serve_s is None:
        return {}
    before = before_s(evening.wanted, _drawn(evening, known, COUNT), SHARES[0])
    waits = [f"{food.letter} on" not in evening.past.moments for food in evening.wanted.foods]
    return {
        food.letter: max(evening.past.now_s, evening.serve_s - s)
        for food, s, wait in zip(evening.wanted.foods, before, waits, strict=True)
        if wait
    }
