"""A linear model of a controller where it stands: copies that are shown a slightly warmer and a slightly cooler pit.

The copies run open loop, on readings that do not answer to their air; the difference of their air is the controller's
response to a step, everything in it included: filters, observer, limiter as far as it does not bind, learning.
"""

from __future__ import annotations

import copy
import random
from dataclasses import dataclass

import numpy as np

from .trace import ControllerUnderTest

WARMER_C = 0.4
LISTEN_S = 1500
# Readings dither as a live probe's do: one that stands still would be taken for broken.
DITHER_C = 0.15


@dataclass(frozen=True)
class Heard:
    """Response of the air to a step of -1 degC in the reading, a value a second; beyond its end it goes on straight."""

    response: np.ndarray

    def __call__(self, w: np.ndarray) -> np.ndarray:
        """Frequency response from error in degC to air at w in rad/s: the steps' own sum, and the last slope's ramp."""
        seconds = np.arange(len(self.response))
        jumps = np.diff(self.response, prepend=0.0)
        slope = (self.response[-1] - self.response[-301]) / 300.0
        total = np.array([np.sum(jumps * np.exp(-1j * each * seconds)) for each in w])
        return np.asarray(total + slope * np.exp(-1j * w * seconds[-1]) / (1j * w))


def listen(controller: ControllerUnderTest, t_s: float, pit_c: float, stone_c: float, target_c: float) -> Heard:
    """Show two copies the same quiet reading but for a step, from a time that follows the last one they saw."""
    airs = []
    for shift_c in (-WARMER_C, WARMER_C):
        twin, draw, air = copy.deepcopy(controller), random.Random("listen"), []
        for second in range(LISTEN_S):
            seen_c = pit_c + shift_c + draw.gauss(0.0, DITHER_C)
            meas = {"pit_c": seen_c, "stone_c": stone_c + draw.gauss(0.0, DITHER_C), "core_c": [], "fault": ""}
            out = twin.update(t_s + second, meas, target_c, "slow")
            # Below the blower's lowest speed air comes in pulses: the duty behind them is the linear quantity.
            air.append(float(out["estimate"].get("duty", out["blower"])))
        airs.append(np.asarray(air))
    return Heard((airs[0] - airs[1]) / (2.0 * WARMER_C))
