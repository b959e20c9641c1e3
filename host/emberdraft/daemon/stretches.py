"""A plan as stretches of heat, for what is said of its charcoal: how long, how hot, what is set in."""

from __future__ import annotations

from dataclasses import replace

from emberdraft.daemon.evening_of import has_large_cut, hold_of, wanted_of
from emberdraft.daemon.plan import Plan
from emberdraft.evening.fire import draws_kg
from emberdraft.ready.fuel import Stretch

SIDE_CHANGE_S = 20.0


def stretches_of(plan: Plan) -> list[Stretch]:
    """The phases that burn, in order; putting it out burns next to nothing."""
    makers = {"light": _light, "soak": _soak, "slow": _slow, "climb": _climb, "sear": _sear}
    return [makers[phase](plan) for phase in plan.phases if phase in makers]


def stretches_left(plan: Plan, entered: list[str], left_s: float) -> list[Stretch]:
    """What is still to come: the phase in force for `left_s` seconds more, and every later one; `entered` in order."""
    if not entered:
        return stretches_of(plan)
    now = entered[-1]
    rest = [stretch for stretch in stretches_of(plan) if stretch.phase not in entered[:-1]]
    return [replace(stretch, seconds=left_s) if stretch.phase == now else stretch for stretch in rest]


def _parts_kg(plan: Plan) -> float:
    return float(plan.set_up.mass_kg) if plan.set_up is not None else 0.0


def _light(plan: Plan) -> Stretch:
    return Stretch("light", float(plan.light.expect_s), float(plan.light.target_c), None, float(plan.light.vent_top))


def _soak(plan: Plan) -> Stretch:
    soak = plan.soak
    target_c = soak.target_c if soak is not None and soak.target_c is not None else plan.light.target_c
    return Stretch("soak", float(soak.least_s) if soak is not None else 0.0, float(target_c))


def _slow(plan: Plan) -> Stretch:
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


def _climb(plan: Plan) -> Stretch:
    assert plan.climb is not None
    seconds, stone_c = float(plan.climb.expect_s), float(plan.climb.stone_c)
    return Stretch("climb", seconds, None, stone_c, 1.0, _parts_kg(plan))


def _sear(plan: Plan) -> Stretch:
    assert plan.sear is not None
    groups = 1 if plan.sear.together else max(1, len(plan.pieces))
    seconds = groups * plan.sear.sides * (float(plan.sear.per_side_s) + SIDE_CHANGE_S)
    if plan.climb is None:
        return Stretch("sear", seconds, float(plan.light.target_c))
    return Stretch("sear", seconds, None, float(plan.climb.stone_c), 1.0, _parts_kg(plan))
