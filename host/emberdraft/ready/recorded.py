"""A recorded cook as a trace for the twin."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from emberdraft.ready.trace import Mark, Trace, trace_of
from emberdraft.store.read import Reader

NAMES = ("at_s", "pit_c", "stone_c", "drive", "opening", "lid_open")
SMOOTH_STEPS = 15
SHORTEST = 60  # readings; less is no cook to learn from


def recorded_trace(reader: Reader, cook_id: int, ambient_c: float = 20.0, wind_mps: float = 1.0) -> Trace | None:
    """The trace of a cook, or None when it holds too little."""
    rows = dict(reader.readings(cook_id, names=NAMES))
    rows["t_s"] = rows.pop("at_s")
    if len(rows["t_s"]) < SHORTEST:
        return None
    return trace_of(rows, marks_of(reader, cook_id), ambient_c=ambient_c, wind_mps=wind_mps)


def marks_of(reader: Reader, cook_id: int) -> list[Mark]:
    """Marks that count for the twin; what is on the grate is added up from the pieces' masses."""
    masses = {piece["letter"]: piece.get("mass_kg") or 0.4 for piece in reader.pieces(cook_id)}
    on: set[str] = set()
    marks: list[Mark] = []
    for row in reader.marks(cook_id):
        kind, value, text = row["kind"], row["value"], row["text"] or ""
        if kind in ("piece_on", "pulled"):
            on = on | {text} if kind == "piece_on" else on - {text}
            value = sum(masses.get(letter, 0.4) for letter in on)
        elif kind == "set_up":
            value = value or 6.0
        if value is not None:
            marks.append((float(row["at_s"]), kind, float(value)))
    return marks


def without_pulses(trace: Trace) -> Trace:
    """The blower's speed as its mean over five minutes: a pulsed blower is a steady one to a pit."""
    padded = np.pad(trace.speed, SMOOTH_STEPS // 2, mode="edge")
    return replace(trace, speed=np.convolve(padded, np.ones(SMOOTH_STEPS) / SMOOTH_STEPS, "valid"))


def has_blower(trace: Trace) -> bool:
    """Whether the board ever drove one."""
    return bool(np.max(trace.speed) > 0.0)
