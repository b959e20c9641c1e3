"""Charcoal in a running cook: what the whole of it takes, what has burnt, and whether what was put in lasts.

What has burnt is the twin's answer from the oxygen that was taken up; what was put in is the plan's `charcoal` and the
mass noted with each mark *fuel added*. Where one of them is not known it cannot be said whether it lasts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from emberdraft.daemon.at_end import open_ended
from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan import Plan
from emberdraft.daemon.steps import STEPS, stretches_left
from emberdraft.daemon.timeline import Forecasts, phase_rows
from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.ready.fit import fit
from emberdraft.ready.fuel import SPARE, FuelSaid, fuel_for
from emberdraft.ready.stone import LATER_ROUNDS
from emberdraft.ready.trace import Trace

Row = dict[str, Any]
AGAIN_S = 600.0
LEAD_S = 3600.0  # new charcoal takes its time to burn: said an hour ahead
AHEAD_S = 2.0 * LEAD_S  # so far is looked where only a person's word ends the hold
SURE = 1.1  # what was short stays short until a tenth more is there


class FuelWatch:
    """`look` about once a second; `said` is the last answer, `left_s` how long the plan then had to go."""

    def __init__(self, desk: TwinDesk, speed: float = 1.0) -> None:
        self.desk = desk
        self.said: FuelSaid | None = None
        self.left_s = 0.0
        self._every_s = AGAIN_S * max(1.0, speed / 20.0)
        self._last_s = -math.inf
        self._short = False

    def look(self, conductor: Conductor, now_s: float, forecasts: Forecasts) -> None:
        """Ask when it is time to: of the plan alone before the fire is lit, then with what was read."""
        lit = STEPS[conductor.step].burning and self.desk.saw_it_warm_up()
        first = self.said is None and conductor.step == "ready"
        if self.desk.busy or not (first or (lit and now_s - self._last_s >= self._every_s)):
            return
        self._last_s = now_s
        entered = [phase.name for phase in conductor.run.phases]
        rows = [
            row for row in phase_rows(conductor, now_s, forecasts) if row["state"] != "past" and row["name"] != "bank"
        ]
        lengths_s = [max(60.0, row["start_s"] + row["expect_s"] - max(now_s, row["start_s"])) for row in rows]
        left = stretches_left(conductor.plan, entered, lengths_s[0] if lengths_s else 0.0)
        if lengths_s and open_ended(conductor.stage):
            lengths_s[0] = max(lengths_s[0], AHEAD_S)
        trace = self.desk.trace(conductor) if lit else None
        self.desk.do(lambda: self._work(conductor.plan, left, trace, sum(lengths_s)), lambda: None)

    def _work(self, plan: Plan, left: list[Any], trace: Trace | None, left_s: float) -> None:
        weather = {"ambient_c": float(plan.ambient_c), "wind_mps": float(plan.wind_mps)}
        if trace is not None:
            known = self.desk.known
            self.desk.known = fit(trace) if known is None else fit(trace, known, LATER_ROUNDS)
        self.said = fuel_for(left, self.desk.known if trace is not None else None, trace, **weather)
        self.left_s = left_s

    def short(self, have_kg: float | None) -> bool:
        """Whether it runs short within the hour, more likely than not; once so, until a tenth more is there."""
        said = self.said
        if said is None or have_kg is None or said.burnt_kg <= 0.0:
            self._short = False
            return False
        usable_kg, needed_kg = have_kg * (1.0 - SPARE) - said.burnt_kg, said.kg - said.burnt_kg
        if self._short:
            self._short = usable_kg < SURE * needed_kg
        else:
            self._short = usable_kg < needed_kg and self.left_s * usable_kg / max(needed_kg, 1e-6) <= LEAD_S
        return self._short

    def lasts_s(self, have_kg: float | None) -> float | None:
        """How long what is left burns at the pace of the rest of the plan, s; None while that cannot be said."""
        said = self.said
        if said is None or have_kg is None:
            return None
        usable_kg, needed_kg = have_kg * (1.0 - SPARE) - said.burnt_kg, said.kg - said.burnt_kg
        return max(0.0, self.left_s * usable_kg / max(needed_kg, 1e-6))

    def ends_s(self, have_kg: float | None) -> float | None:
        """The same as a moment, unix s."""
        lasts_s = self.lasts_s(have_kg)
        return None if lasts_s is None else self._last_s + lasts_s

    def figures(self, have_kg: float | None) -> tuple[float | None, float | None]:
        """Left to burn and still needed, kg."""
        if self.said is None or have_kg is None:
            return None, None
        return max(0.0, have_kg * (1.0 - SPARE) - self.said.burnt_kg), self.said.kg - self.said.burnt_kg


def had_kg(plan: Plan, marks: Iterable[Row]) -> float | None:
    """Charcoal put in so far, kg; None where the plan or a mark does not say how much."""
    added = [mark["value"] for mark in marks if mark["kind"] == "fuel"]
    if plan.light.charcoal_kg is None or None in added:
        return None
    return float(plan.light.charcoal_kg) + float(sum(added))
