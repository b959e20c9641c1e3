"""One question, one answer: what is said of a serving time before lighting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from emberdraft.evening.draws import draw, live
from emberdraft.evening.fire import Charcoal, charcoal
from emberdraft.evening.habits import Habit
from emberdraft.evening.schedule import EVEN, SURE, Schedule, as_soon_as_can_be, back_from, moments, odds
from emberdraft.evening.wanted import Wanted

BAND = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Step:
    """A step of the evening: low, middle, high (80 %) in unix s."""

    name: str
    band_s: tuple[float, float, float]


@dataclass(frozen=True)
class Answer:
    """`light_s`: when to light; `sure`: with what odds dinner is then on time; `even_s`: when it is even odds.

    `odds_now`: set where the hour for SURE has passed; the answer is then for lighting now. Unix s.
    """

    wanted: Wanted
    serve_s: float
    light_s: float
    sure: float
    even_s: float | None
    odds_now: float | None
    earliest_s: tuple[float, float]
    schedule: Schedule
    steps: tuple[Step, ...]
    charcoal: Charcoal

    @property
    def possible(self) -> bool:
        """Whether the hour can be reached with even odds."""
        return self.odds_now is None or self.odds_now >= EVEN


def answered(wanted: Wanted, known: Mapping[str, Habit], serve_s: float, now_s: float, seed: int = 0) -> Answer:
    """Some tenths of a second."""
    draws = draw(wanted, known, seed)
    schedule = back_from(wanted, draws, serve_s)
    best_s = schedule.light_s if schedule.light_s is not None else schedule.even_s
    late = best_s is None or best_s < now_s
    light_s = now_s if best_s is None or late else best_s
    sure = odds(wanted, draws, schedule, light_s)
    lived = live(wanted, draws, light_s, schedule.on_s)
    return Answer(
        wanted=wanted,
        serve_s=serve_s,
        light_s=light_s,
        sure=SURE if light_s == schedule.light_s else sure,
        even_s=schedule.even_s if schedule.even_s is not None and schedule.even_s > light_s else None,
        odds_now=sure if late else None,
        earliest_s=as_soon_as_can_be(wanted, draws, now_s),
        schedule=schedule,
        steps=tuple(Step(name, _band(at)) for name, at in moments(wanted, lived)),
        charcoal=charcoal(wanted, lived, light_s),
    )


def _band(at: np.ndarray) -> tuple[float, float, float]:
    low, mid, high = (float(q) for q in np.quantile(at, BAND))
    return low, mid, high
