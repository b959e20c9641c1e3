"""The board's own law as a loop: swing the pit, see what the air answers, close it on the model.

The textbook's margins know the PID alone. The observer, the urgency above the target and the cap answer as well, and
near the target they answer more strongly than the PID does. So the controller, led through the cook, is given a pit
that swings about its target at some periods; the first harmonic of the air that it asks for (a describing function) is
closed with the model's frequency response.
"""

from __future__ import annotations

import copy

import numpy as np
from numpy.typing import NDArray

from emberdraft.tuning.identify import Model
from emberdraft.tuning.loop import linear
from emberdraft.tuning.model import Array
from emberdraft.tuning.record import Cook
from emberdraft.tuning.rules import Gains
from emberdraft.tuning.shadow import Shadow

PERIODS_S = (300, 600, 1200, 2400, 4800)
SWING_C = 0.5
SWINGS, SETTLING = 3, 1


def measured_ms(cook: Cook, model: Model, gains: Gains) -> float:
    """The largest |1/(1 + L)| at the periods tried, for the board's law with these gains as it stood after the cook."""
    shadow = Shadow(cook, gains.as_args())
    for row in range(model.fit.last):
        shadow.tick(cook["pit_c"][row])
    held = cook["target_c"][: model.fit.last]
    target_c = float(held[np.isfinite(held)][-1])
    process = linear(model)
    found = []
    for period_s in PERIODS_S:
        w = 2.0 * np.pi / period_s
        loop = answer(copy.deepcopy(shadow), target_c, period_s) * process(np.array([w]))[0]
        found.append(float(abs(1.0 / (1.0 + loop))))
    return max(found)


def answer(shadow: Shadow, target_c: float, period_s: int) -> complex:
    """Air over pit error, duty per degC, at one period: gain and phase of the first harmonic."""
    seconds = np.arange(SWINGS * period_s)
    swing = np.exp(2j * np.pi * seconds / period_s)
    duty = np.array([float(shadow.tick_alone(target_c + SWING_C * x.imag).duty) for x in swing])
    first = SETTLING * period_s
    harmonic = _harmonic(duty[first:], swing[first:])
    # Duty = Im(harmonic e^jwt) for a pit that swings as Im(e^jwt); its error is the negative.
    return complex(-harmonic / SWING_C)


def _harmonic(values: Array, swing: NDArray[np.complex128]) -> complex:
    """The complex h of values = Im(h swing) + level + drift: least squares; the drift is what is learnt meanwhile."""
    t = np.linspace(-1.0, 1.0, values.size)
    terms = np.stack([swing.imag, swing.real, np.ones_like(t), t], axis=1)
    (in_phase, ahead, _, _), *_ = np.linalg.lstsq(terms, values, rcond=None)
    return complex(in_phase, ahead)
