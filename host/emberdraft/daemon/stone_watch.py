"""The twin beside the running cook: when the stone will be ready, and why it is not hotter when a climb runs out.

The work (some tenths of a second) is done in a thread of its own, one job at a time, on a copy of what was read; the
service only ever picks up the last answer. A host that was started in mid-cook has not seen the cooker warm up and
says nothing.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.wanted import target_of
from emberdraft.ready.fit import Fit
from emberdraft.ready.stone import stone_ready
from emberdraft.ready.trace import Mark, Trace, trace_of
from emberdraft.ready.why import Why, why_not_hotter

Row = dict[str, Any]
EVERY_S = 10.0
AGAIN_S = 180.0
LEAST_ROWS = 120
COLD_C = 60.0
STEPS = ("rest", "ask_vent", "ask_climb", "climb")
COLUMNS = ("at_s", "pit_c", "stone_c", "drive", "opening", "lid_open")
PLAIN_MASS_KG = 0.4

Job = Callable[[], None]


def in_a_thread(job: Job) -> None:
    """Run a job beside everything else."""
    threading.Thread(target=job, name="stone-watch", daemon=True).start()


class StoneWatch:
    """`take` each reading, `look` about once a second; `said` and `why` are the last answers."""

    def __init__(self, speed: float = 1.0, start: Callable[[Job], None] = in_a_thread) -> None:
        self.said: Row | None = None
        self.why: Why | None = None
        self._every_s = AGAIN_S * max(1.0, speed / 20.0)
        self._start = start
        self._rows: dict[str, list[Any]] = {name: [] for name in COLUMNS}
        self._marks: list[Mark] = []
        self._seen: dict[str, float] = {}
        self._known: Fit | None = None
        self._busy = False
        self._last_s = 0.0

    def take(self, row: Row) -> None:
        """Keep one reading in ten seconds."""
        at = self._rows["at_s"]
        if at and row["at_s"] - at[-1] < EVERY_S:
            return
        for name in COLUMNS:
            self._rows[name].append(row.get(name))

    def look(self, conductor: Conductor, now_s: float) -> None:
        """Note what the person has set, and ask the twin when it is time to."""
        self._note(conductor, now_s)
        plan, run = conductor.plan, conductor.run
        out = not conductor.stage.letters("in", "waiting")
        asked = run.step in STEPS or (run.step == "slow" and out)
        if plan.climb is None or not asked:
            if run.step not in ("ask_sear", "sear"):
                self.said = None
            return
        over = conductor.stage.asked("climb_over")
        if (
            self._busy
            or not self._saw_it_warm_up()
            or (now_s - self._last_s < self._every_s and not self._why_due(over))
        ):
            return
        target_c = target_of(plan, run, "climb")
        if target_c is None:
            return
        self._busy, self._last_s = True, now_s
        trace = self._trace(float(plan.ambient_c), float(plan.wind_mps))
        climb_s = run.climb_start_s
        self._start(lambda: self._work(trace, target_c, now_s, climb_s if over else None))

    def _why_due(self, over: bool) -> bool:
        return over and self.why is None

    def _saw_it_warm_up(self) -> bool:
        pit = [value for value in self._rows["pit_c"][:30] if value is not None]
        return len(self._rows["at_s"]) >= LEAST_ROWS and bool(pit) and pit[0] < COLD_C

    def _trace(self, ambient_c: float, wind_mps: float) -> Trace:
        rows = {name: list(values) for name, values in self._rows.items()}
        rows["t_s"] = rows.pop("at_s")
        rows["drive"] = [value or 0.0 for value in rows["drive"]]
        return trace_of(rows, list(self._marks), ambient_c=ambient_c, wind_mps=wind_mps)

    def _work(self, trace: Trace, target_c: float, now_s: float, climb_s: float | None) -> None:
        """In the thread: no more than plain assignments to what others read."""
        try:
            answer = stone_ready(trace, target_c, self._known)
            self._known = answer.fit
            self.said = None
            if answer.ready_s is not None and answer.low_s is not None and answer.high_s is not None:
                moments = {"eta_s": answer.ready_s, "low_s": answer.low_s, "high_s": answer.high_s}
                self.said = {name: now_s + value for name, value in moments.items()}
                self.said |= {"value_c": target_c, "measured": answer.measured}
            if climb_s is not None:
                self.why = why_not_hotter(trace, climb_s - self._rows["at_s"][0], target_c)
        except (ArithmeticError, ValueError):
            # Readings that no cooker makes: nothing is said, the cook goes on.
            self.said = None
        finally:
            self._busy = False

    # ---- what the person has set

    def _note(self, conductor: Conductor, now_s: float) -> None:
        run, plan = conductor.run, conductor.plan
        for which in ("vent_top", "vent_bottom"):
            self._mark(which, getattr(run, which), now_s)
        if plan.set_up is not None and run.step in ("settle", "slow"):
            self._mark("set_up", float(plan.set_up.mass_kg), now_s)
        pieces = conductor.stage.plan_pieces
        inside = [pieces[letter].mass_kg for letter in conductor.stage.letters("in")]
        self._mark("piece_on", sum(PLAIN_MASS_KG if kg is None else float(kg) for kg in inside), now_s)

    def _mark(self, kind: str, value: float | None, now_s: float) -> None:
        if value is not None and self._seen.get(kind) != value:
            self._seen[kind] = value
            self._marks.append((now_s, kind, value))
