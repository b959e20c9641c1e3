"""The stretch of heat of a step, for what is said of its charcoal: how long, how hot, what is set in."""

from __future__ import annotations

from emberdraft.daemon.evening_of import has_large_cut, hold_of, wanted_of
from emberdraft.daemon.plan import Plan
from emberdraft.evening.fire import draws_kg
from emberdraft.ready.fuel import Stretch

SIDE_CHANGE_S = 20.0


def _parts_kg(plan: Plan) -> float:
    return float(plan.set_up.mass_kg) if plan.set_up is not None else 0.0


def light(plan: Plan) -> Stretch:
    """Fire-up."""
    return Stretch("light", float(plan.light.expect_s), float(plan.light.target_c), None, float(plan.light.vent_top))


def soak(plan: Plan) -> Stretch:
    """Until the walls are warm."""
    assert plan.soak is not None
    target_c = plan.light.target_c if plan.soak.target_c is None else plan.soak.target_c
    return Stretch("soak", float(plan.soak.least_s), float(target_c))


def slow(plan: Plan) -> Stretch:
    """The long hold, with what is set in and what lies in it."""
    slow = plan.slow
    assert slow is not None
    seconds = float(slow.for_s if slow.for_s is not None else slow.expect_s)
    if plan.set_up is not None:
        seconds += float(plan.set_up.settle_s)
    food_kg = sum(float(piece.mass_kg) for piece in plan.pieces if piece.mass_kg is not None)
    vent_top = float(slow.vent_top if slow.vent_top is not None else plan.light.vent_top)
    spread = 0.0
    if has_large_cut(plan):
        evening = wanted_of(plan)
        seconds, spread = hold_of(evening)
        food_kg = sum(draws_kg(food) for food in evening.foods)
    return Stretch("slow", seconds, float(slow.target_c), None, vent_top, _parts_kg(plan), food_kg, spread)


def climb(plan: Plan) -> Stretch:
    """To the stone's target."""
    assert plan.climb is not None
    seconds, stone_c = float(plan.climb.expect_s), float(plan.climb.stone_c)
    return Stretch("climb", seconds, None, stone_c, 1.0, _parts_kg(plan))


def sear(plan: Plan) -> Stretch:
    """All groups and sides."""
    assert plan.sear is not None
    groups = 1 if plan.sear.together else max(1, len(plan.pieces))
    seconds = groups * plan.sear.sides * (float(plan.sear.per_side_s) + SIDE_CHANGE_S)
    if plan.climb is None:
        return Stretch("sear", seconds, float(plan.light.target_c))
    return Stretch("sear", seconds, None, float(plan.climb.stone_c), 1.0, _parts_kg(plan))
