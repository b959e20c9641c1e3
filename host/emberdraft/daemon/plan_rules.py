"""What must hold between the values of a plan. Each rule yields (place, value, what would be right)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from difflib import get_close_matches

from emberboard.core import limits
from emberdraft.daemon.plan_form import VERSION, PlanForm
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from emberdraft.errors import UserError
from emberdraft.evening.cuts import KINDS, cut_of, footprint_m2
from emberdraft.evening.hour import parted
from emberdraft.phases import PHASES

# The board refuses what lies outside its own bounds; here it is said before the fire is lit.
PIT_LEAST_C, PIT_MOST_C = limits.TARGET_LOW_C, limits.TARGET_HIGH_C
STONE_LEAST_C, STONE_MOST_C = limits.STONE_LOW_C, limits.STONE_HIGH_C
PIT_LIMIT_MOST_C = limits.PIT_HARD_C
CHARCOAL_MOST_KG = 50.0
GRATE_LEAST_M, GRATE_MOST_M = 0.2, 0.61  # ceramic cookers (common practice, no source)
LONGEST_S = 48.0 * 3600.0

Fault = tuple[str, object, str]


def _celsius(value_c: float) -> str:
    return f"{value_c:g}C"


def _version(plan: PlanForm) -> Iterator[Fault]:
    if plan.version != VERSION:
        yield "version", plan.version, f"this program reads version {VERSION}"


def _texts(plan: PlanForm) -> Iterator[Fault]:
    texts = [("name", plan.name), *((f"[piece {i}] name", p.name) for i, p in enumerate(plan.pieces, 1))]
    for place, text in texts:
        if not text.strip() or len(text) > 80 or not text.isprintable():
            yield place, text, "1 to 80 characters on one line"


def _charcoal(plan: PlanForm) -> Iterator[Fault]:
    kg = plan.light.charcoal_kg
    if kg is not None and not 0.1 <= kg <= CHARCOAL_MOST_KG:
        yield "[light] charcoal", f"{kg:g}kg", f"100g to {CHARCOAL_MOST_KG:g}kg"


def _serve(plan: PlanForm) -> Iterator[Fault]:
    try:
        parted(plan.serve) if plan.serve else None
    except UserError:
        yield "serve", plan.serve, 'an hour would be right, "19:00", or with its day, "2026-12-05 19:00"'


def _at_end(plan: PlanForm) -> Iterator[Fault]:
    """What is asked at the end needs a pit to hold meanwhile; what is done unanswered, that it is asked."""
    if plan.at_end == "ask" and plan.slow is None:
        yield "at_end", plan.at_end, 'a [slow] table, whose target is held until you say; or at_end = "bank"'
    if not plan.hold_until:
        return
    if plan.at_end != "ask":
        yield "hold_until", plan.hold_until, 'at_end = "ask" beside it: it is for what nobody answers'
    try:
        day, _ = parted(plan.hold_until)
    except UserError:
        day = "none"
    if day is not None:
        yield "hold_until", plan.hold_until, 'an hour without a day would be right, "23:00"'


def _grate(plan: PlanForm) -> Iterator[Fault]:
    """All pieces lie on it side by side; where it is not named, on the widest there is."""
    across_m = plan.grate_m or GRATE_MOST_M
    if not GRATE_LEAST_M <= across_m <= GRATE_MOST_M:
        yield "grate", f"{100 * across_m:g}cm", f"{100 * GRATE_LEAST_M:g}cm to {100 * GRATE_MOST_M:g}cm across"
    has_m2 = 0.25 * math.pi * across_m**2
    sizes = ((p.thickness_m, p.mass_kg, p) for p in plan.pieces)
    wants_m2 = sum(footprint_m2(cut_of(p.cut, t, kg, p.pull_c), t, kg) for t, kg, p in sizes)
    if wants_m2 > has_m2:
        right = f"at most {has_m2:.2f} m2 on a grate {100 * across_m:g}cm across: fewer or smaller pieces"
        yield "[[piece]]", f"{wants_m2:.2f} m2 of food", right


def _targets(plan: PlanForm) -> Iterator[Fault]:
    right = f"{PIT_LEAST_C:g}C to {PIT_MOST_C:g}C"
    soak_c = plan.soak.target_c if plan.soak else None
    slow_c = plan.slow.target_c if plan.slow else None
    for place, value_c in (("light", plan.light.target_c), ("soak", soak_c), ("slow", slow_c)):
        if value_c is not None and not PIT_LEAST_C <= value_c <= PIT_MOST_C:
            yield f"[{place}] target", _celsius(value_c), right


def _climb(plan: PlanForm) -> Iterator[Fault]:
    if plan.climb is None:
        return
    if not STONE_LEAST_C <= plan.climb.stone_c <= STONE_MOST_C:
        yield "[climb] stone", _celsius(plan.climb.stone_c), f"{STONE_LEAST_C:g}C to {STONE_MOST_C:g}C"
    hottest_c = max(plan.light.target_c, plan.slow.target_c if plan.slow else 0.0)
    if not hottest_c < plan.climb.pit_limit_c <= PIT_LIMIT_MOST_C:
        right = f"above {_celsius(hottest_c)}, at most {PIT_LIMIT_MOST_C:g}C"
        yield "[climb] pit_limit", _celsius(plan.climb.pit_limit_c), right


def _phases(plan: PlanForm) -> Iterator[Fault]:
    if plan.slow is None and plan.climb is None:
        yield "phases", "light only", "a [slow] or a [climb] table"
    if plan.sear is not None and plan.climb is None:
        yield "[sear]", "without [climb]", "a [climb] table that says how hot the stone must be"
    if plan.until_said and plan.at_end == "bank":
        right = 'for = "3h", a [[piece]] with its pull temperature, or at_end = "ask": until you say'
        yield "[slow]", "without an end", right
    if plan.pieces and plan.slow is None:
        yield "[[piece]]", "without [slow]", "a [slow] table to cook it in"


def _spans(plan: PlanForm) -> Iterator[Fault]:
    spans: list[tuple[str, float | None]] = [("[light] longest", plan.light.longest_s), ("repeat", plan.repeat_s)]
    if plan.climb and not limits.DRIVE_SHORT_S <= plan.climb.longest_s <= limits.DRIVE_LONG_S:
        yield "[climb] longest", f"{plan.climb.longest_s:g}s", "1 min to 3 h"
    spans.append(("[bank] longest", plan.bank.longest_s))
    if plan.soak:
        spans.append(("[soak] longest", plan.soak.longest_s))
        if plan.soak.least_s > plan.soak.longest_s:
            yield "[soak] least", f"{plan.soak.least_s:g}s", f"at most longest, {plan.soak.longest_s:g}s"
    if plan.slow:
        spans.append(("[slow] for", plan.slow.for_s))
    if plan.sear:
        spans.append(("[sear] per_side", plan.sear.per_side_s))
    for place, span_s in spans:
        if span_s is not None and not 5.0 <= span_s <= LONGEST_S:
            yield place, f"{span_s:g}s", "5 s to 48 h"


def _sear(plan: PlanForm) -> Iterator[Fault]:
    if plan.sear and not 1 <= plan.sear.sides <= 12:
        yield "[sear] sides", plan.sear.sides, "1 to 12"


def _pieces(plan: PlanForm) -> Iterator[Fault]:
    letters: set[str] = set()
    probes: set[int] = set()
    for i, piece in enumerate(plan.pieces, 1):
        if len(piece.letter) != 1 or not "A" <= piece.letter <= "Z" or piece.letter in letters:
            yield f"[piece {i}] letter", piece.letter, "one capital letter A to Z, another for each piece"
        if piece.probe is None and piece.check_after_s is None:
            yield f"[piece {i}] probe", "missing", 'probe = 0, or check_after = "60 min" without a probe'
        if piece.probe is not None and (not 0 <= piece.probe <= 7 or piece.probe in probes):
            yield f"[piece {i}] probe", piece.probe, "0 to 7, another for each piece"
        letters.add(piece.letter)
        probes.update(() if piece.probe is None else (piece.probe,))
        yield from _temperatures(plan, i)


def _temperatures(plan: PlanForm, i: int) -> Iterator[Fault]:
    piece = plan.pieces[i - 1]
    pit_c = plan.slow.target_c if plan.slow else PIT_MOST_C
    if not piece.start_c < piece.pull_c < pit_c:
        right = f"between its start, {_celsius(piece.start_c)}, and the pit, {_celsius(pit_c)}"
        yield f"[piece {i}] pull", _celsius(piece.pull_c), right
    if not limits.PULL_LOW_C <= piece.pull_c <= limits.PULL_HIGH_C:
        yield f"[piece {i}] pull", _celsius(piece.pull_c), f"{limits.PULL_LOW_C:g}C to {limits.PULL_HIGH_C:g}C"
    if piece.final_c < piece.pull_c:
        yield f"[piece {i}] final", _celsius(piece.final_c), f"at least its pull, {_celsius(piece.pull_c)}"
    if piece.thickness_m is not None and not 0.002 <= piece.thickness_m <= 0.4:
        yield f"[piece {i}] thickness", f"{piece.thickness_m * 1000:g}mm", "2mm to 400mm"
    if piece.mass_kg is not None and not 0.005 <= piece.mass_kg <= 30.0:
        yield f"[piece {i}] mass", f"{piece.mass_kg:g}kg", "5g to 30kg"
    if piece.wrap_c is not None and not piece.start_c < piece.wrap_c < piece.pull_c:
        right = f"between its start, {_celsius(piece.start_c)}, and its pull, {_celsius(piece.pull_c)}"
        yield f"[piece {i}] wrap", _celsius(piece.wrap_c), right
    if piece.cut is not None and KINDS[piece.cut].needs_size and piece.mass_kg is None and piece.thickness_m is None:
        yield f"[piece {i}] cut", piece.cut, 'its mass = "2.5 kg" (5.5 lb) or thickness = "12 cm" (4.7 in) beside it'


def _gains(plan: PlanForm) -> Iterator[Fault]:
    for i, change in enumerate(plan.gains, 1):
        if getattr(plan, change.phase) is None:
            yield f"[gains {i}] phase", change.phase, f"a phase of this plan: {', '.join(phases_of(plan))}"
        if (change.kp, change.ti_s, change.td_s, change.b) == (None, None, None, None):
            yield f"[gains {i}]", "empty", "at least one of kp, ti, td, b"
        for key, value, low, high, unit in (
            ("kp", change.kp, limits.KP_LOW, limits.KP_HIGH, " /C"),
            ("ti", change.ti_s, limits.TI_LOW_S, limits.TI_HIGH_S, "s"),
            ("td", change.td_s, limits.TD_LOW_S, limits.TD_HIGH_S, "s"),
            ("b", change.b, limits.B_LOW, limits.B_HIGH, ""),
        ):
            if value is not None and not low <= value <= high:
                yield f"[gains {i}] {key}", f"{value:g}{unit}", f"{low:g}{unit} to {high:g}{unit}"


def _acts(plan: PlanForm) -> Iterator[Fault]:
    for i, act in enumerate(plan.stand_in.acts if plan.stand_in else (), 1):
        if act.prompt not in PROMPT_KINDS:
            near = get_close_matches(act.prompt, PROMPT_KINDS, 1, 0.5)
            right = f"perhaps {near[0]!r}" if near else f"one of {', '.join(PROMPT_KINDS)}"
            yield f"[stand_in.act {i}] prompt", act.prompt, right
        if not 0 <= act.forgets <= 20:
            yield f"[stand_in.act {i}] forgets", act.forgets, "0 to 20 times"


RULES: tuple[Callable[[PlanForm], Iterator[Fault]], ...] = (
    _version,
    _texts,
    _serve,
    _at_end,
    _phases,
    _charcoal,
    _targets,
    _climb,
    _spans,
    _sear,
    _pieces,
    _grate,
    _gains,
    _acts,
)


def phases_of(plan: PlanForm) -> list[str]:
    """The phases that this plan goes through, in order."""
    return [name for name in PHASES if getattr(plan, name) is not None]


def first_fault(plan: PlanForm) -> Fault | None:
    """The first rule that does not hold."""
    return next((fault for rule in RULES for fault in rule(plan)), None)
