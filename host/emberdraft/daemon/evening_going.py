"""The running cook as an evening: its plan, what has been, and what the forecasts say of what is in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from emberdraft.daemon.evening_of import serve_of, wanted_of
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.stage import Stage
from emberdraft.daemon.wanted import target_of
from emberdraft.errors import UserError
from emberdraft.evening.going import Evening
from emberdraft.evening.past import Band, Past
from emberdraft.evening.wanted import Wanted
from emberdraft.phases import held_in

Row = Mapping[str, Any]
WAITS = ("waiting",)


def evening_of(stage: Stage, forecasts: Mapping[str, Row], stone: Row | None, now_s: float) -> Evening | None:
    """None where there is nothing to eat in it, or where it is over."""
    plan, run = stage.plan, stage.run
    if not plan.pieces or plan.slow is None or (run.phases and held_in(stage.phase) is None):
        return None
    wanted: Wanted = replace(wanted_of(plan), pit_c=float(target_of(plan, run, "slow") or plan.slow.target_c))
    inside = stage.letters("in")
    past = Past(
        now_s=now_s,
        moments=_moments(stage),
        outs={letter: band for letter in inside if (band := _band(stage, letter, forecasts, now_s)) is not None},
        hot=_hot(stage, stone),
        after_s={letter: float(stage.plan_pieces[letter].on_after_s) for letter in stage.letters(*WAITS)},
    )
    cores = {letter: core_c for letter in inside if (core_c := stage.core_c(letter)) is not None}
    return Evening(wanted, past, _serve_s(plan, run.started_s or now_s), cores)


def _moments(stage: Stage) -> dict[str, float]:
    """Of a phase that was passed over the end is the begin of the next."""
    run, found = stage.run, {}
    begun = {phase.name: phase.start_s for phase in reversed(run.phases)}
    named = {"lit": "light", "at_heat": "soak", "set_in": "slow", "climb": "climb", "sear": "sear"}
    found = {name: begun[phase] for name, phase in named.items() if phase in begun}
    if "set_in" in found:
        found.setdefault("at_heat", found["set_in"])
    if (stage.phase == "slow" and run.step != "settle") or "climb" in found:
        found["settled"] = stage.slow_start_s() if run.step == "slow" else found.get("set_in", run.since_s)
    for piece in run.pieces:
        if piece.on_s is not None:
            found[f"{piece.letter} on"] = piece.on_s
        if piece.pulled_s is not None:
            found[f"{piece.letter} out"] = piece.pulled_s
    return found


def _band(stage: Stage, letter: str, forecasts: Mapping[str, Row], now_s: float) -> Band | None:
    """A piece that reads its pull temperature is there, whether or not its forecast has begun."""
    core_c, said = stage.core_c(letter), forecasts.get(letter)
    if core_c is not None and core_c >= stage.plan_pieces[letter].pull_c:
        return now_s, now_s, now_s
    if said is None or said["eta_s"] is None:
        return None
    return now_s + said["low_s"], now_s + said["eta_s"], now_s + said["high_s"]


def _hot(stage: Stage, stone: Row | None) -> Band | None:
    """Of a climb that is going on; before it the twin says what would be if it began now."""
    if stone is None or stage.phase != "climb":
        return None
    return stone["low_s"], stone["eta_s"], stone["high_s"]


def _serve_s(plan: Plan, lit_s: float) -> float | None:
    """The first time after lighting that the clock shows the hour; on its day where it names one."""
    try:
        return serve_of(plan, None, None, lit_s) if plan.serve else None
    except UserError:
        return None
