"""Second optimiser: a receding horizon on copies of the plant, with nothing hidden.

Every two minutes it looks for the best course over the horizon on copies of the whole rig, applies its beginning, and
begins again from there. A course is a level of air for some minutes, another for some more, and to the end a level
that leans against the true error, because walls that still take up heat ask for less air minute by minute.
"""

from __future__ import annotations

import math

from .rig import PlantBrokeError, Rig, air

BLOCK_S = 120.0
HORIZON_S = 1800.0
COARSE_S = 5.0
FINE_S = 1.0
# The horizon's end is weighed as if the error there went on this long, and rose with the slope that it has there.
TAIL_S = 300.0
# A course that is this near on the average is followed without looking for a better one.
GOOD_ENOUGH_C = 0.1
FULL = 2.0
SIZES = (1.0, 0.2)
LEVEL_STEP, LENGTH_STEP_S = 0.4, 360.0
LEAN_C, DAMP_S, SMOOTH_S = 5.0, 120.0, 10.0

# level now, until when (s from now), level next, until when, level to the end at no error
Course = tuple[float, float, float, float, float]
START: Course = (FULL, 900.0, 0.0, 900.0, 0.8)


def best_iae_cs(rig: Rig) -> float:
    """Integral of absolute error in degC s over the whole story, fine step."""
    twin, course, total_cs = rig.copy(), START, 0.0
    while twin.t_s < twin.length_s - 0.5 * FINE_S:
        course = _choose(twin.without_preview(), course)
        block_cs, _, _ = _follow(twin, course, FINE_S, min(BLOCK_S, twin.length_s - twin.t_s))
        total_cs += block_cs
        course = _later(course)
    return total_cs


def level_at(course: Course, after_s: float, error_c: float, slope_cps: float) -> float:
    """The level of air of the course at a time from now; error_c is the target less the true temperature."""
    now, first_s, then, second_s, rest = course
    if after_s < second_s:
        return now if after_s < first_s else then
    return rest + (error_c - DAMP_S * slope_cps) / LEAN_C


def _follow(
    rig: Rig, course: Course, dt_s: float, length_s: float, give_up_cs: float = math.inf
) -> tuple[float, float, float]:
    """Run a course on the rig: integral of absolute error in degC s, last error, last slope; stops when beaten."""
    start_s, total_cs, slope_cps = rig.t_s, 0.0, 0.0
    pit_c = rig.pit_c()
    while rig.t_s < start_s + length_s - 0.5 * dt_s and total_cs < give_up_cs:
        level = level_at(course, rig.t_s - start_s, rig.target_c - pit_c, slope_cps)
        before_c, pit_c = pit_c, float(rig.advance(dt_s, *air(level))["pit_c"])
        slope_cps += ((pit_c - before_c) / dt_s - slope_cps) * dt_s / (SMOOTH_S + dt_s)
        total_cs += abs(pit_c - rig.target_c) * dt_s
    return total_cs, pit_c - rig.target_c, slope_cps


def _later(course: Course) -> Course:
    """The same course seen a block later; a part that has passed gives its place to the next."""
    now, first_s, then, second_s, rest = course
    first_s, second_s = first_s - BLOCK_S, second_s - BLOCK_S
    if first_s <= 0.0:
        now, first_s = then, max(second_s, 0.0)
    return now, first_s, then, max(second_s, first_s), rest


def _choose(rig: Rig, last: Course) -> Course:
    """Pattern search around the last course, having also tried a burst and a pause in place of its beginning."""
    best, best_cs = last, _foresee_cs(rig, last, math.inf)
    if best_cs < GOOD_ENOUGH_C * HORIZON_S:
        return best
    for now in (FULL, 0.0):
        for length_s in (60.0, 300.0):
            best, best_cs = _better(rig, (now, length_s, last[4], length_s, last[4]), best, best_cs)
    for size in SIZES:
        for place in range(5):
            for sign in (1.0, -1.0):
                trial = _moved(best, place, sign * size)
                before_cs = best_cs
                best, best_cs = _better(rig, trial, best, best_cs)
                if best_cs < before_cs:
                    break
    return best


def _moved(course: Course, place: int, by: float) -> Course:
    values = list(course)
    values[place] += by * (LENGTH_STEP_S if place in (1, 3) else LEVEL_STEP)
    now, first_s, then, second_s, rest = values
    first_s = min(HORIZON_S, max(0.0, first_s))
    return _clip(now), first_s, _clip(then), min(HORIZON_S, max(first_s, second_s)), _clip(rest)


def _clip(level: float) -> float:
    return min(FULL, max(0.0, level))


def _better(rig: Rig, trial: Course, best: Course, best_cs: float) -> tuple[Course, float]:
    if trial == best:
        return best, best_cs
    trial_cs = _foresee_cs(rig, trial, best_cs)
    return (trial, trial_cs) if trial_cs < best_cs else (best, best_cs)


def _foresee_cs(rig: Rig, course: Course, give_up_cs: float) -> float:
    try:
        total_cs, error_c, slope_cps = _follow(rig.copy(), course, COARSE_S, HORIZON_S, give_up_cs)
    except PlantBrokeError:
        return math.inf
    return total_cs + TAIL_S * (abs(error_c) + abs(error_c + TAIL_S * slope_cps)) * 0.5
