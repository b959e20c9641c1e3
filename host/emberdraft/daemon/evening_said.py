"""When to light for a plan's hour of dinner, for the page: a question that a process beside it answers."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.evening_of import wanted_of
from emberdraft.daemon.plan import example_text, parse_plan
from emberdraft.errors import UserError
from emberdraft.evening.answer import answered
from emberdraft.evening.habits import habits_of
from emberdraft.evening.said import Habits, answer_of, too_late
from emberdraft.ready.fuel import SPARE

FIRST, AHEAD_S = "thick_chops", 24 * 3600.0


def reckoned(text: str, cooker: str, habits: Habits, serve_s: float, now_s: float) -> dict[str, Any]:
    """The answer as figures. Raises UserError where the hour cannot be reached: the earliest is said, with its odds."""
    plan = parse_plan(text)
    answer = answered(wanted_of(plan), habits, serve_s, now_s)
    if not answer.possible:
        raise UserError(too_late(answer, now_s, None))
    to_light_kg = answer.charcoal.band_kg()[2] * (1.0 + SPARE)
    have_kg = answer.wanted.charcoal_kg
    return answer_of(plan.name, cooker, habits, answer, None) | {"to_light_kg": to_light_kg, "have_kg": have_kg}


def ready() -> bool:
    """A process that has answered this has read in all that an evening needs: one of ours has been drawn in it."""
    reckoned(example_text(FIRST), "", habits_of(()), AHEAD_S, 0.0)
    return True
