"""Writes a rehearsal into the store as if a board had sent it, in large transactions."""

from __future__ import annotations

import secrets
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from emberdraft.daemon.plan import Plan
from emberdraft.daemon.run import Action
from emberdraft.store import Store

COOKER = "rehearsal"
BULK = 600
BROKEN_OFF = "rehearsal broken off"


class Recorder:
    """A cook in the store. Readings go in by the ten minutes, the rest at once."""

    def __init__(self, db: str | Path, plan: Plan, start_s: float) -> None:
        self.store = Store(db)
        self.store.break_off(COOKER, BROKEN_OFF)  # a rehearsal that was killed left its cook open
        # A seed gives the same boots again: what makes this run's records its own is a name of its own.
        self.run = secrets.token_hex(4)
        self.boot = self.run
        self.rows: list[dict[str, Any]] = []
        self.seq = 0
        plan_id = self.store.add_plan(plan.text, plan.name)
        self.store.note_boot(COOKER, self.boot, start_s)
        self.store.begin_boot_at(COOKER, self.boot, 0)
        self.cook_id = self.store.begin_cook(COOKER, plan.name, plan_id, start_s, True)
        self.pieces = {
            piece.letter: self.store.add_piece(
                self.cook_id,
                piece.letter,
                piece.name,
                piece.probe,
                float(piece.pull_c),
                rest_c=float(piece.final_c),
                mass_kg=None if piece.mass_kg is None else float(piece.mass_kg),
                thickness_m=None if piece.thickness_m is None else float(piece.thickness_m),
                initial_c=float(piece.start_c),
            )
            for piece in plan.pieces
        }

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if error is not None:
            self.flush()
            self.store.break_off(COOKER, BROKEN_OFF)
        self.store.close()

    def second(self, now_s: float, now_ms: int, out: Any, inputs: Any, events: list[Any]) -> None:
        """A reading, and the board's events of this second."""
        self._take(self._stamp(now_s, now_ms) | reading(out, inputs))
        for kind, value, limit, text in events:
            told = {"kind": kind, "value": value, "limit": limit, "text": text or ""}
            self._take(self._stamp(now_s, now_ms) | told)

    def row(self, row: dict[str, Any]) -> None:
        """A record as a board sent it, with `at_s`."""
        boot = f"{row['boot']}-{self.run}"
        if boot != self.boot:
            self.flush()
            self.boot = boot
            self.store.note_boot(COOKER, self.boot, row["at_s"] - row["ms"] / 1000.0)
            self.store.begin_boot_at(COOKER, self.boot, row["oldest"])
        self._take(row)

    def _take(self, row: dict[str, Any]) -> None:
        self.rows.append(row)
        if len(self.rows) >= BULK:
            self.flush()

    def action(self, now_s: float, action: Action) -> None:
        """What the conductor did."""
        store, args = self.store, action.args
        if action.kind == "mark":
            store.add_mark(self.cook_id, now_s, action.name, args["value"], args["text"], "stand-in")
        elif action.kind == "phase":
            store.add_phase(self.cook_id, now_s, action.name, args["target_c"])
        elif action.kind == "piece":
            store.update_piece(self.pieces[action.name], **args)
        elif action.kind == "order":
            n = store.next_order_n(COOKER)
            store.add_order(COOKER, n, self.boot, now_s, action.name, args, "plan")
            if action.name == "gains":
                store.add_tuning(COOKER, now_s, args, n)

    def flush(self) -> None:
        """Write what has been collected."""
        if self.rows:
            self.store.add_records(COOKER, self.boot, self.rows)
            self.rows = []

    def finish(self, now_s: float) -> None:
        """The plan is done."""
        self.flush()
        self.store.end_cook(self.cook_id, now_s, "plan done")

    def _stamp(self, now_s: float, now_ms: int) -> dict[str, Any]:
        stamp = {"at_s": now_s, "ms": now_ms, "seq": self.seq}
        self.seq += 1
        return stamp


def reading(out: Any, inputs: Any) -> dict[str, Any]:
    """A reading as the board would send it."""
    return {
        "mode": out.mode,
        "phase": out.phase,
        "pit_c": inputs.pit_c,
        "pit_fault": inputs.pit_fault,
        "stone_c": inputs.stone_c,
        "stone_fault": inputs.stone_fault,
        "core_c": list(inputs.core_c),
        "core_fault": list(inputs.core_fault),
        "board_c": inputs.board_c,
        "target_c": out.target_c,
        "ref_c": out.ref_c,
        "duty": out.duty,
        "drive": out.drive,
        "opening": out.opening,
        "lid_open": out.lid_open,
        "p": out.p,
        "i": out.i,
        "d": out.d,
        "ff": out.ff,
        "fire": out.fire,
        "why": out.why,
    }
