"""What a search makes small: for each cooker how far its figures are over their bounds, the worst cooker counted extra.

A figure costs its share of the bound that passes (`emberdraft.bench.figures`), half of it below that, at most MOST; a
lost fire costs LOST. The objective is the mean over cookers plus WORST times the mean of the worst quarter.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from emberdraft.bench.figures import BY_KEY
from emberdraft.bench.scores import BAND_C

from .quick import DOWN_S, LID_LONG_S, LID_S, MIN, UP_S, Course

MOST, LOST, WORST = 4.0, 12.0, 0.5


def settled_min(course: Course, start_s: float, end_s: float) -> float:
    """Minutes from start until inside the band for the rest of the span; the span and half as much if never."""
    inside = (course.t_s > start_s) & (course.t_s <= end_s)
    out = np.flatnonzero(np.abs(course.pit_c - course.target_c)[inside] > BAND_C)
    if not len(out):
        return 0.0
    late = out[-1] >= inside.sum() - 2
    return (end_s - start_s) / MIN * 1.5 if late else float(course.t_s[inside][out[-1]] - start_s) / MIN


def over_c(course: Course, start_s: float, end_s: float) -> float:
    """The highest excess of a span."""
    inside = (course.t_s > start_s) & (course.t_s <= end_s)
    return max(0.0, float(np.max((course.pit_c - course.target_c)[inside])))


def figures(course: Course) -> dict[str, float]:
    """The figures of the bench that this story has."""
    error = course.pit_c - course.target_c
    near = np.flatnonzero(np.abs(error) <= BAND_C)
    first_s = float(course.t_s[near[0]]) if len(near) else LID_S
    held = (course.t_s >= min(first_s, LID_S - 10 * MIN)) & (course.t_s < LID_S)
    shut_s, end_s = LID_S + LID_LONG_S, float(course.t_s[-1])
    return {
        "light_min": settled_min(course, 0.0, LID_S),
        "overshoot_c": over_c(course, first_s, LID_S) if first_s < LID_S else 0.0,
        "hold_rms_c": float(np.sqrt(np.mean(error[held] ** 2))),
        "lid_recovery_min": settled_min(course, shut_s, UP_S),
        "lid_rebound_c": over_c(course, shut_s, UP_S),
        "up_over_c": over_c(course, UP_S, DOWN_S),
        "up_settle_min": settled_min(course, UP_S, DOWN_S),
        "down_settle_min": settled_min(course, DOWN_S, end_s),
    }


def cost(course: Course) -> float:
    """What one run costs."""
    total = 0.0
    for key, value in figures(course).items():
        share = value / (BY_KEY[key].pass_worst or 1.0)
        total += min(share, MOST) if share > 1.0 else 0.5 * share
    lost = bool(np.all(course.pit_c[-120:] < course.target_c[-120:] - 15.0))
    return total + (LOST if lost else 0.0)


def of_all(costs: Sequence[float]) -> float:
    """The objective from the costs of all runs."""
    worst = sorted(costs)[-max(1, len(costs) // 4) :]
    return float(np.mean(costs) + WORST * np.mean(worst))
