"""What the page's tuning view asks for, as plain jobs that a process of their own can do: they take seconds of CPU."""

from __future__ import annotations

from typing import Any

import numpy as np

from emberdraft.tuning.identify import Model, identify
from emberdraft.tuning.loop import loop_margins, schedule_of
from emberdraft.tuning.measured import measured_ms
from emberdraft.tuning.propose import Choice, as_json, choice_json, present_gains, propose
from emberdraft.tuning.record import Cook
from emberdraft.tuning.rules import Gains, refusal, tau_c_of
from emberdraft.tuning.twin import Course, WhatIf, replay

POINTS = 600
SHORTEST_TARGET_S = 300


def learn(cook: Cook) -> Model:
    """A model of the cooker from this cook; UserError when it teaches nothing."""
    return identify(cook)


def proposal(cook: Cook, model: Model, rule: str, slider: float | None) -> dict[str, Any]:
    """Gains by a rule, with everything `tune --json` says, and the targets and vents that this cook had.

    `slider`: Steadier (0) to Quicker (1); None lets the replay choose. AMIGO has no such choice.
    """
    tau_c_s = None if slider is None or rule == "amigo" else tau_c_of(slider, model.fopdt.delay_s)
    made = as_json(propose(cook, rule, tau_c_s, model), POINTS)
    held = cook["target_c"][np.array(made["traces"]["t_s"], int)]
    made["traces"]["target_c"] = [float(v) if np.isfinite(v) else None for v in held]
    return {**made, "start_s": cook.at_s, "targets_c": targets_of(cook, model), "vent_top": vent_of(cook, model)}


def trial(
    cook: Cook, model: Model, gains: Gains | None, targets: dict[float, float], vent_top: float | None
) -> dict[str, Any]:
    """The cook again with these gains (None: those in force), targets (recorded: wanted) and top vent."""
    present = present_gains(cook)
    chosen = gains or present
    course = replay(cook, model.fit, WhatIf(chosen.as_args(), targets, vent_top))
    margins = loop_margins(model, chosen, schedule_of(cook, present.kp, present.b))
    choice = Choice(chosen, margins, course, None, refusal(chosen), measured_ms(cook, model, chosen))
    return {"choice": choice_json(choice), "traces": _traces(course)}


def targets_of(cook: Cook, model: Model) -> list[float]:
    """Pit targets that were held for five minutes or more, the longest first, degC."""
    held = cook["target_c"][model.fit.first : model.fit.last]
    values, counts = np.unique(held[np.isfinite(held)], return_counts=True)
    longest = sorted(zip(counts, values, strict=True), reverse=True)
    return [float(value) for count, value in longest if count >= SHORTEST_TARGET_S]


def vent_of(cook: Cook, model: Model) -> float | None:
    """The top vent as it was last noted in the hold, or None."""
    if cook.vent_top is None:
        return None
    noted = cook.vent_top[model.fit.first : model.fit.last]
    noted = noted[np.isfinite(noted)]
    return float(noted[-1]) if noted.size else None


def _traces(course: Course) -> dict[str, Any]:
    rows = np.arange(0, len(course.pit_c), max(1, len(course.pit_c) // POINTS))
    columns = {"t_s": course.first + rows, "replayed_c": course.pit_c[rows], "replayed_duty": course.duty[rows]}
    return {name: [float(v) if np.isfinite(v) else None for v in values] for name, values in columns.items()}
