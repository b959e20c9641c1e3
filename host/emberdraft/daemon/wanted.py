"""What the board should be doing in each step, and how the conductor sees to it that it does.

The order is sent again when the board does something else (an order lost, a reboot), but only to a healthy board, and
heat goes up only with a person at the cooker: otherwise the conductor asks.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import Run, View
from emberdraft.phases import held_in

AT_COOKER_S = 300.0
AGAIN_S = 15.0
SEAR_LONGEST_S = 1200.0
SAME_C = 0.3


class Wanted(NamedTuple):
    """Mode and phase for the board, with the temperature that it holds: of the pit, in drive of the stone."""

    mode: str
    phase: str
    target_c: float | None
    more: dict[str, Any]


def wanted(plan: Plan, run: Run, phase: str) -> Wanted | None:
    """What a phase asks of the board; None before the fire is lit."""
    if phase == "":
        return None
    if phase == "bank":
        return Wanted("bank", "bank", None, {})
    if run.by_hand:  # without a blower the board watches, sounds and records; the heat is the person's
        return Wanted("off", phase, None, {})
    target_c = target_of(plan, run, phase)
    if held_in(phase) == "stone" and plan.climb is not None:
        longest_s = plan.climb.longest_s if phase == "climb" else SEAR_LONGEST_S
        more = {"pit_limit_c": float(plan.climb.pit_limit_c), "longest_s": float(longest_s)}
        return Wanted("drive", phase, target_c, more)
    return Wanted("hold", phase, target_c, {})


def target_of(plan: Plan, run: Run, phase: str) -> float | None:
    """The target of a phase: a person's change first, then the plan's."""
    holds = held_in(phase)
    if holds is None:
        return None
    if holds == "stone":
        stone_c = plan.climb.stone_c if plan.climb else None
        return run.targets.get("stone", None if stone_c is None else float(stone_c))
    return run.targets.get(phase, _pit_target_c(plan, phase))


def _pit_target_c(plan: Plan, phase: str) -> float:
    """Its own; where that is not said the other's of soak and slow, else that of the light."""
    tables = () if phase == "light" else (getattr(plan, phase), plan.slow, plan.soak)
    said = (table.target_c for table in tables if table is not None)
    return float(next((c for c in said if c is not None), plan.light.target_c))


def order_args(want: Wanted, at_cooker: bool) -> dict[str, Any]:
    """The arguments of the order `mode`."""
    args: dict[str, Any] = {"mode": want.mode, "phase": want.phase, **want.more}
    if want.target_c is not None:
        args["stone_c" if want.mode == "drive" else "target_c"] = want.target_c
    if at_cooker and want.mode in ("hold", "drive"):
        args["at_cooker"] = True
    return args


def agrees(want: Wanted, view: View) -> bool:
    """Whether the board does what is wanted."""
    if view.mode != want.mode or view.phase != want.phase:
        return False
    if want.target_c is None:
        return True
    return view.target_c is not None and abs(view.target_c - want.target_c) <= SAME_C


def raises(want: Wanted, view: View) -> bool:
    """Whether the order would raise heat; the board judges the same way and refuses without a person."""
    if want.mode in ("bank", "off"):
        return False
    if want.mode == "drive":
        return True
    if view.mode == "drive":
        return view.why == "drive_over"
    if view.mode != "hold" or view.target_c is None or want.target_c is None:
        return True
    return want.target_c > view.target_c + SAME_C


def at_cooker(run: Run, now_s: float) -> bool:
    """Whether somebody said within five minutes that they stand at the cooker."""
    return run.at_cooker_s is not None and 0.0 <= now_s - run.at_cooker_s <= AT_COOKER_S
