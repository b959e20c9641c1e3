"""An answer as figures, for JSON and for the page; and the line of an hour that cannot be reached."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, tzinfo
from typing import Any

from emberdraft.evening.answer import Answer
from emberdraft.evening.habits import Habit
from emberdraft.evening.hour import say, say_beside

Habits = Mapping[str, Habit]


def answer_of(name: str, cooker: str | None, habits: Habits, answer: Answer, zone: tzinfo | None) -> dict[str, Any]:
    """All figures, units in the keys; hours with their offset from UTC."""
    low_kg, mid_kg, high_kg = answer.charcoal.band_kg()
    return {
        "plan": name,
        "serve_at": _iso(answer.serve_s, zone),
        "light_by": _iso(answer.light_s, zone),
        "on_time_share": round(answer.sure, 2),
        "lit_now": answer.odds_now is not None,
        "earliest_at": _iso(answer.earliest_s[0], zone),
        "even_odds_at": None if answer.even_s is None else _iso(answer.even_s, zone),
        "steps": [
            {
                "step": step.name,
                **dict(zip(("low", "middle", "high"), (_iso(s, zone) for s in step.band_s), strict=True)),
            }
            for step in answer.steps
        ],
        "pieces": {
            food.letter: {"cut": food.cut, "on_at": _iso(at_s, zone)}
            for food, at_s in zip(answer.wanted.foods, answer.schedule.on_s, strict=True)
        },
        "charcoal_low_kg": round(low_kg, 2),
        "charcoal_kg": round(mid_kg, 2),
        "charcoal_high_kg": round(high_kg, 2),
        "feed_by": None if answer.charcoal.feed_s is None else _iso(answer.charcoal.feed_s, zone),
        "cooker": cooker,
        "cooks": {stage: habit.cooks for stage, habit in habits.items()},
    }


def too_late(answer: Answer, now_s: float, zone: tzinfo | None) -> str:
    """The earliest that can be, with its odds, beside those of the hour that was asked for."""
    sure, even = (say_beside(at_s, answer.serve_s, zone) for at_s in answer.earliest_s)
    odds = round(100 * (answer.odds_now or 0.0))
    return (
        f"dinner at {say(answer.serve_s, zone)}: cannot be reached ({odds} times in 100); lit now "
        f"({say(now_s, zone)}), the earliest is {sure} nine times in ten, {even} at even odds"
    )


def _iso(at_s: float, zone: tzinfo | None) -> str:
    return datetime.fromtimestamp(at_s, zone).astimezone(zone).isoformat(timespec="minutes")
