"""The twin beside the running cook: when the stone will be ready, and why it is not hotter when a climb falls behind.

*Behind* is later than the latest moment that was said as the climb began, or not there within the time looked at.
"""

from __future__ import annotations

import math
from typing import Any

from emberdraft.daemon import sear
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.steps import STEPS
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.daemon.wanted import target_of
from emberdraft.ready.stone import NEAR_C, StoneSaid, stone_ready
from emberdraft.ready.trace import Trace
from emberdraft.ready.why import Why, why_not_hotter

Row = dict[str, Any]
AGAIN_S = 180.0
WHY_AFTER_S, WHY_AGAIN_S = 420.0, 600.0
WHY_LEAST_S = 180.0  # of readings in the climb: of a board that fell silent before, nothing is known


class StoneWatch:
    """`look` about once a second; `said` and `why` are the last answers."""

    def __init__(self, desk: TwinDesk | None = None, speed: float = 1.0) -> None:
        self.desk = desk or TwinDesk()
        self.said: Row | None = None
        self.why: Why | None = None
        self._slower = max(1.0, speed / 20.0)
        self._last_s = self._why_s = -math.inf
        self._promised_s: float | None = None
        self._asked: tuple[str, int] = ("", 0)

    def look(self, conductor: Conductor, now_s: float) -> None:
        """Ask the twin when it is time to."""
        target_c = self._wanted_c(conductor)
        if target_c is None:
            self._forget(conductor)
            return
        asked = (conductor.step, conductor.run.sear.group)
        anew = asked != self._asked
        due = now_s - self._last_s >= AGAIN_S * self._slower or anew
        why = self._why_due(conductor, now_s)
        if self.desk.busy or not self.desk.saw_it_warm_up() or not (due or why):
            return
        self._last_s, self._asked = now_s, asked
        if why:
            self._why_s = now_s
        trace, climb_s = self.desk.trace(conductor), conductor.run.climb_start_s if why else None
        self.desk.do(lambda: self._work(conductor, trace, target_c, now_s, climb_s), self._nothing)

    def _nothing(self) -> None:
        self.said = None

    def due_s(self, target_c: float | None) -> float | None:
        """When an unmeasured stone is at its target by the twin, unix s; None: measured, not known, another target."""
        said = self.said
        return None if said is None or said["measured"] or said["value_c"] != target_c else float(said["eta_s"])

    def behind(self, conductor: Conductor, now_s: float) -> bool:
        """Whether this climb is later than was said as it began."""
        start_s = conductor.run.climb_start_s
        if conductor.step != "climb" or start_s is None:
            return False
        if conductor.stage.asked("climb_over"):
            return True
        if now_s - start_s < WHY_AFTER_S:
            return False
        if self.said is None or self._promised_s is None:
            return True
        return float(self.said["eta_s"]) > self._promised_s

    def _wanted_c(self, conductor: Conductor) -> float | None:
        """What the stone is asked about: the climb's target, or the recovery before the next pieces; None: nothing."""
        plan, run = conductor.plan, conductor.run
        asked = STEPS[run.step].stone == "asked"
        all_out = run.step == "slow" and not conductor.stage.letters("in", "waiting")
        if plan.climb is None:
            return None
        if run.step == "sear" and run.sear.state == "recover" and run.sear.group > 0:
            return sear.recover_c(conductor.stage)
        return target_of(plan, run, "climb") if asked or all_out else None

    def _forget(self, conductor: Conductor) -> None:
        if STEPS[conductor.step].stone != "kept" or conductor.run.sear.group > 0:
            self.said = None
        self.why = self._promised_s = None

    def _why_due(self, conductor: Conductor, now_s: float) -> bool:
        if not self.behind(conductor, now_s):
            self.why = None if conductor.step == "climb" else self.why
            return False
        if self.desk.last_s - float(conductor.run.climb_start_s or math.inf) < WHY_LEAST_S:
            return False
        first = self.why is None and math.isinf(self._why_s)
        return first or now_s - self._why_s >= WHY_AGAIN_S * self._slower

    def _work(self, conductor: Conductor, trace: Trace, target_c: float, now_s: float, climb_s: float | None) -> None:
        """In the thread: no more than plain assignments to what others read."""
        air = self.desk.all_air(conductor)
        near_c = NEAR_C if conductor.step != "sear" else 0.0  # between pieces it must be back at what is said
        answer = stone_ready(trace, target_c, self.desk.known, air, near_c=near_c)
        self.desk.known = answer.fit
        self.said = _said(answer, target_c, now_s)
        if conductor.step == "climb" and self._promised_s is None and self.said is not None:
            self._promised_s = float(self.said["high_s"])
        if climb_s is not None:
            self.why = why_not_hotter(trace, climb_s - self.desk.first_s, target_c, air=air)


def _said(answer: StoneSaid, target_c: float, now_s: float) -> Row | None:
    """Moments on the clock, or nothing where it is not there within the time looked at."""
    if answer.ready_s is None or answer.low_s is None or answer.high_s is None:
        return None
    moments = {"eta_s": answer.ready_s, "low_s": answer.low_s, "high_s": answer.high_s}
    said: Row = {name: now_s + value for name, value in moments.items()}
    return said | {"value_c": target_c, "measured": answer.measured, "now_c": answer.now_c, "at_s": now_s}
