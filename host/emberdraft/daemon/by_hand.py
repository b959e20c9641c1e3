"""Where a hand holds the fire and not a blower: near enough, what may stay up, the number to watch."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import Prompt, Run
from emberdraft.daemon.steps import PHASE_OF
from emberdraft.daemon.wanted import target_of

OPEN = {"bottom": 1.0, "top": 1.0}
HELD = ("light", "soak", "set_up", "settle", "slow", "rest")
DRIVEN = ("climb", "ask_sear", "sear")
NEAR_C = 8.0  # what a hand on two vents can hold


def wanted_c(plan: Plan, run: Run) -> float | None:
    """What the hand is to hold now, degC: of the stone in climb and sear, else of the pit; None where a blower does."""
    return target_of(plan, run, PHASE_OF[run.step]) if run.by_hand else None


def number(plan: Plan, run: Run, row: dict[str, Any] | None) -> dict[str, Any] | None:
    """The one number of the phase where the board holds nothing; None where it does."""
    target_c = wanted_c(plan, run)
    if row is None or target_c is None:
        return None
    of = "stone" if PHASE_OF[run.step] in ("climb", "sear") else "pit"
    return {"label": of, "value_c": row[f"{of}_c"], "wanted_c": target_c, "of": of}


def stays(prompt: Prompt, step: str) -> bool:
    """Whether a prompt goes along into the next step: a vent only while the coach holds, nothing into the end."""
    return step in HELD if prompt.kind == "move_vent" else step != "done"
