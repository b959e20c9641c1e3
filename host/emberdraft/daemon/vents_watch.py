"""The opening that holds this cooker today, asked anew now and then, and after a vent was moved and left alone."""

from __future__ import annotations

import math
from typing import Any

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.vents_known import learnt, opening_of
from emberdraft.daemon.wanted import target_of
from emberdraft.phases import held_in

Row = dict[str, Any]
AGAIN_S = 1500.0
BOTTOM_BY_HAND = 0.25  # where the vent coach sets it


class VentsWatch:
    """`look` about once a second; `answer` is None before the first."""

    def __init__(self, desk: TwinDesk, speed: float = 1.0) -> None:
        self.desk = desk
        self.answer: Row | None = None
        self._every_s = AGAIN_S * max(1.0, speed / 20.0)
        self._last_s = -math.inf
        self._asked: tuple[float, float] | None = None

    def look(self, conductor: Conductor, now_s: float, store: Any, cooker: str) -> None:
        """Ask in a thread: the record is read, then some tenths of a second of arithmetic."""
        run, plan = conductor.run, conductor.plan
        phase = conductor.phase or "light"
        target_c = target_of(plan, run, phase)
        if held_in(phase) != "pit" or target_c is None or self.desk.busy:
            return
        bottom = run.vent_bottom or (BOTTOM_BY_HAND if run.by_hand else float(plan.light.vent_bottom) or 1.0)
        asked = (target_c, bottom)
        if asked == self._asked and now_s - self._last_s < self._every_s:
            return
        self._last_s, self._asked = now_s, asked
        self.desk.do(lambda: self._work(conductor, target_c, bottom, store, cooker), lambda: None)

    def _work(self, conductor: Conductor, target_c: float, bottom: float, store: Any, cooker: str) -> None:
        known = learnt(store, cooker)._replace(blower=not conductor.run.by_hand)
        self.answer = opening_of(known, target_c, bottom, float(conductor.plan.ambient_c))
        said = self.answer.get("no_blower")
        if said is not None and known.points and said["opening"] is not None and conductor.stage.coach is None:
            conductor.stage.holds = said["opening"]
