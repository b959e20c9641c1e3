"""Figures of each phase of a cook."""

from __future__ import annotations

from emberdraft.phases import held_in
from emberdraft.review import metrics
from emberdraft.review.columns import Columns, Row, between


def phase_figures(columns: Columns, phase: Row) -> Row:
    """Figures of one phase. `phase` has phase, at_s, end_s (None: still in force) and target_c."""
    part = between(columns, phase["at_s"], phase["end_s"])
    t_s, duty = part["at_s"], part["duty"]
    held = held_in(phase["phase"])
    end_s = phase["end_s"] if phase["end_s"] is not None else (t_s[-1] if t_s else None)
    return {
        "phase": phase["phase"],
        "start_s": phase["at_s"],
        "duration_s": None if end_s is None else end_s - phase["at_s"],
        "held": held,
        **_against_target(part, phase, held),
        "mean_air_share": metrics.mean(t_s, duty),
        "blower_strokes_per_h": metrics.strokes_per_h(t_s, duty),
    }


def wanted_c(part: Columns, phase: Row, held: str) -> list[float | None]:
    """The target at each reading: of the pit as the board had it while it held it, of the stone as planned.

    A board is in its next mode a moment before the host says so: what it wants of the stone by then is not the pit's.
    """
    if held == "stone" and phase["target_c"] is not None:
        return [phase["target_c"]] * len(part["at_s"])
    board = zip(part["target_c"], part["mode"], strict=True)
    return [phase["target_c"] if target is None or mode != "hold" else target for target, mode in board]


def _against_target(part: Columns, phase: Row, held: str | None) -> Row:
    if held is None:
        wanted: list[float | None] = []
        t_s, errors = [], []
    else:
        wanted = wanted_c(part, phase, held)
        t_s, errors = part["at_s"], metrics.errors_c(part[f"{held}_c"], wanted)
    known = [target for target in wanted if target is not None]
    return {
        "target_c": known[-1] if known else None,
        "time_to_target_s": metrics.time_to_target_s(t_s, errors),
        "overshoot_c": metrics.overshoot_c(t_s, errors),
        "shortfall_c": metrics.shortfall_c(t_s, errors),
        "within_3c_share": metrics.share_within(t_s, errors),
        "rms_c": metrics.rms_c(t_s, errors),
    }
