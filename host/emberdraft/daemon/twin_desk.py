"""Where the readings for the twin are kept, and where its work is done: a thread of its own, one job at a time.

The service only ever picks up the last answers. A host that was started in mid-cook has not seen the cooker warm up,
and then nothing is said.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from emberdraft.daemon.beside import Job, Start, in_turn
from emberdraft.daemon.conductor import Conductor
from emberdraft.ready.climb import DOOR_AS_DAMPER, DRAFT_ALONE, FULL_AIR, Air
from emberdraft.ready.fit import Fit
from emberdraft.ready.trace import Mark, Trace, trace_of
from emberdraft.store.errors import StoreError

Row = dict[str, Any]
EVERY_S = 10.0
LEAST_ROWS = 120
COLD_C = 60.0
COLUMNS = ("at_s", "pit_c", "stone_c", "drive", "opening", "lid_open")
PLAIN_MASS_KG = 0.4

_beside = in_turn("twin")


class TwinDesk:
    """`take` each reading, `note` what the person has set, `do` one job at a time; `known` is the twin found last."""

    def __init__(self, start: Start = _beside) -> None:
        self.known: Fit | None = None
        self.busy = False
        self._start = start
        self._rows: dict[str, list[Any]] = {name: [] for name in COLUMNS}
        self._marks: list[Mark] = []
        self._seen: dict[str, float] = {}

    @property
    def first_s(self) -> float:
        """The moment of the first reading, unix s; a trace counts from it."""
        return float(self._rows["at_s"][0])

    @property
    def last_s(self) -> float:
        """The moment of the last reading, unix s; long ago where the board has fallen silent."""
        return float(self._rows["at_s"][-1]) if self._rows["at_s"] else -math.inf

    def take(self, row: Row) -> None:
        """Keep one reading in ten seconds."""
        at = self._rows["at_s"]
        if at and row["at_s"] - at[-1] < EVERY_S:
            return
        for name in COLUMNS:
            self._rows[name].append(row.get(name))

    def saw_it_warm_up(self) -> bool:
        """Whether the readings begin with a cold cooker and are enough to learn from."""
        pit = [value for value in self._rows["pit_c"][:30] if value is not None]
        return len(self._rows["at_s"]) >= LEAST_ROWS and bool(pit) and pit[0] < COLD_C

    def trace(self, conductor: Conductor) -> Trace:
        """All that was read so far, as the twin takes it."""
        plan = conductor.plan
        rows = {name: list(values) for name, values in self._rows.items()}
        rows["t_s"] = rows.pop("at_s")
        rows["drive"] = [value or 0.0 for value in rows["drive"]]
        trace = trace_of(rows, list(self._marks), ambient_c=float(plan.ambient_c), wind_mps=float(plan.wind_mps))
        return replace(trace, opening=trace.opening * DOOR_AS_DAMPER) if conductor.run.by_hand else trace

    @staticmethod
    def all_air(conductor: Conductor) -> Air:
        """All the air this cooker can be given."""
        return DRAFT_ALONE if conductor.run.by_hand else FULL_AIR

    def do(self, job: Job, failed: Job) -> None:
        """Start a job unless one is running; `failed` is called when the readings are such as no cooker makes.

        Also when the record cannot be read: the host may stop, and close it, while a job is at work.
        """
        if self.busy:
            return
        self.busy = True
        self._start(lambda: self._run(job, failed))

    def _run(self, job: Job, failed: Job) -> None:
        try:
            job()
        except (ArithmeticError, ValueError, StoreError):
            failed()
        finally:
            self.busy = False

    # ---- what the person has set

    def note(self, conductor: Conductor, now_s: float) -> None:
        """Vents, parts and food as they are now."""
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
