"""A plan as an evening for `evening`, and the habits of a cooker from the plans and phases of its earlier cooks."""

from __future__ import annotations

from datetime import tzinfo
from functools import lru_cache

import numpy as np

from emberdraft.daemon.plan import parse_plan
from emberdraft.daemon.plan_form import Piece, PlanForm
from emberdraft.errors import UserError
from emberdraft.evening.cuts import KINDS, cut_of
from emberdraft.evening.draws import draw, live
from emberdraft.evening.habits import Habit, habits_of, spans_s, usual_s
from emberdraft.evening.hour import moment, parted
from emberdraft.evening.wanted import Food, Searing, Wanted
from emberdraft.store.read import Reader

SPREAD_SIGMAS = 2.563  # between the ends of a band of 80 %


def wanted_of(plan: PlanForm) -> Wanted:
    """The evening of a plan. Raises UserError for a plan that has none: nothing to eat."""
    if not plan.pieces or plan.slow is None:
        raise UserError(
            f"plan {plan.name!r}: nothing to eat in it; a [[piece]] with its pull temperature would be right"
        )
    soak = None if plan.soak is None else (float(plan.soak.least_s), float(plan.soak.longest_s))
    vent_top = plan.light.vent_top if plan.slow.vent_top is None else plan.slow.vent_top
    return Wanted(
        pit_c=float(plan.slow.target_c),
        foods=tuple(_food(piece) for piece in plan.pieces),
        soak_s=soak,
        parts_kg=None if plan.set_up is None else float(plan.set_up.mass_kg),
        settle_longest_s=0.0 if plan.set_up is None else float(plan.set_up.settle_s),
        least_hold_s=float(plan.slow.for_s or 0.0),
        sear=_searing(plan),
        ambient_c=float(plan.ambient_c),
        wind_mps=float(plan.wind_mps),
        vent_top=float(vent_top),
        charcoal_kg=None if plan.light.charcoal_kg is None else float(plan.light.charcoal_kg),
    )


def serve_of(plan: PlanForm, serve: str | None, day: str | None, now_s: float, zone: tzinfo | None = None) -> float:
    """When dinner is, unix s: at `serve` on `day`, else at the plan's own hour."""
    if serve is None and not plan.serve:
        raise UserError(f'plan {plan.name!r}: no hour of dinner; --serve 19:00, or serve = "19:00" in the plan')
    own_day, own = parted(plan.serve) if serve is None else (None, serve)
    return moment(own, day or own_day, now_s, zone)


def has_large_cut(plan: PlanForm) -> bool:
    """Whether a piece stands on a plateau: then the plan's own `expect` says little."""
    return any(KINDS[_food(piece).cut].large for piece in plan.pieces)


@lru_cache(maxsize=16)
def hold_of(wanted: Wanted) -> tuple[float, float]:
    """From set in to the last pull in s, and the log spread of it (1 sigma)."""
    lived = live(wanted, draw(wanted), 0.0)
    low, mid, high = (float(q) for q in np.quantile(lived.all_out - lived.set_in, (0.1, 0.5, 0.9)))
    return mid, float(np.log(high / low)) / SPREAD_SIGMAS


def habits_from(reader: Reader, cooker: str) -> dict[str, Habit]:
    """The habits of a cooker; a cook whose plan cannot be read, or had nothing to eat, says nothing."""
    ratios = []
    for cook in reader.cooks(cooker):
        kept = reader.plan(cook["plan_id"]) if cook["plan_id"] is not None else None
        if kept is None or cook["end_s"] is None:
            continue
        try:
            usual = usual_s(wanted_of(parse_plan(kept["text"])))
        except UserError:
            continue
        spans = spans_s(reader, cook["id"])
        ratios.append({stage: spans[stage] / usual[stage] for stage in usual if stage in spans})
    return habits_of(ratios)


def _food(piece: Piece) -> Food:
    mass_kg = None if piece.mass_kg is None else float(piece.mass_kg)
    thickness_m = None if piece.thickness_m is None else float(piece.thickness_m)
    return Food(
        letter=piece.letter,
        name=piece.name,
        cut=cut_of(piece.cut, thickness_m, mass_kg, float(piece.pull_c)),
        pull_c=float(piece.pull_c),
        start_c=float(piece.start_c),
        mass_kg=mass_kg,
        thickness_m=thickness_m,
        rest_s=float(piece.rest_s),
        wrap_c=None if piece.wrap_c is None else float(piece.wrap_c),
    )


def _searing(plan: PlanForm) -> Searing | None:
    if plan.sear is None or plan.climb is None:
        return None
    return Searing(
        stone_c=float(plan.climb.stone_c),
        climb_longest_s=float(plan.climb.longest_s),
        per_side_s=float(plan.sear.per_side_s),
        sides=plan.sear.sides,
        together=plan.sear.together,
        recover_longest_s=float(plan.sear.recover_longest_s),
    )
