"""Where a hand holds the fire and not a blower: near enough, the number to watch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from emberdraft.daemon.wanted import target_of
from emberdraft.phases import held_in

if TYPE_CHECKING:
    from emberdraft.daemon.stage import Stage

OPEN = {"bottom": 1.0, "top": 1.0}
NEAR_C = 8.0  # what a hand on two vents can hold


def wanted_c(stage: Stage) -> float | None:
    """What the hand is to hold now, degC: of the stone in climb and sear, else of the pit; None where a blower does."""
    return target_of(stage.plan, stage.run, stage.phase) if stage.run.by_hand else None


def number(stage: Stage, row: dict[str, Any] | None) -> dict[str, Any] | None:
    """The one number of the phase where the board holds nothing; None where it does."""
    target_c = wanted_c(stage)
    if row is None or target_c is None:
        return None
    of = held_in(stage.phase)
    return {"label": of, "value_c": row[f"{of}_c"], "wanted_c": target_c, "of": of}
