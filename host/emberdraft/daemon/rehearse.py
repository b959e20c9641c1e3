"""One door to both rehearsals: the board's core alone, or the whole firmware on the virtual board.

summary = rehearse(load_plan("two_chops"))
"""

from __future__ import annotations

import math
import time
from pathlib import Path
from typing import Any

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.recorder import Recorder
from emberdraft.daemon.rehearsal import Rehearsal
from emberdraft.daemon.rehearsal_board import rehearse_on_board
from emberdraft.errors import UserError


def rehearse(
    plan: Plan,
    plant_spec: str | None = None,
    db: str | Path | None = None,
    interpreter: str | None = None,
    seed: int = 0,
) -> dict[str, Any]:
    """Run a plan; the summary holds what `emberdraft rehearse` prints. Keys carry their units."""
    if plan.until_said:
        raise UserError(f'plan {plan.name!r}: held until you say, and nobody says it in a rehearsal; [slow] for = "3h"')
    if interpreter == "micropython":
        return rehearse_on_board(plan, plant_spec, db, seed)
    if interpreter not in (None, "cpython"):
        raise UserError(f"interpreter {interpreter!r}: micropython or cpython would be right")
    if db is None:
        return Rehearsal(plan, plant_spec, None, seed, 0.0).run()
    start_s = float(math.floor(time.time()))
    with Recorder(db, plan, start_s) as recorder:
        return Rehearsal(plan, plant_spec, recorder, seed, start_s).run()
