"""A biased relay test inside a normal hold: the learnt duty plus and minus a tenth, and what its limit cycle says.

The relay gives `high` while the pit is under the target and `low` while it is over it, with a hysteresis above the
probe's noise, until enough like cycles have passed. A pure procedure: time, pit and lid are passed in, duty comes out.

Ultimate gain by the describing function: Ku = 4 d / (pi sqrt(a^2 - e^2)) (Astrom and Hagglund, Automatica 20 (1984)
645). It takes the pit's wave for a sine, which for a lag with dead time it is not: for theta/tau of 0.1 to 1 it comes
out 18 to 11 % too small, and more with a hysteresis, which lengthens the swing. `bias` says by how much for the process
found; `ultimate_gain` is the corrected one. The process (first order plus dead time) is fitted to the whole test, which
noise disturbs less than reading it off the swing's heights and times; the uneven steps make its gain show.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy  # its parts are loaded where they are first used: what starts needs none

from emberdraft.tuning.fopdt import fit_fopdt
from emberdraft.tuning.model import Array

CYCLES = 3


@dataclass(frozen=True)
class Ultimate:
    """Amplitude a (degC, half of peak to peak), period, gain of the process, lag, dead time, and the ultimate point.

    `described_gain` is 4 d / (pi a); `bias` its error relative to `ultimate_gain`, -0.18 for 18 % too small.
    """

    amplitude_c: float
    period_s: float
    gain_c: float
    tau_s: float
    delay_s: float
    described_gain: float
    ultimate_gain: float
    ultimate_period_s: float
    bias: float


def read_off(
    t_s: Array, pit_c: Array, duty: Array, rises_s: list[float], learnt: float, hysteresis_c: float
) -> Ultimate:
    """The swing between the first and the last of `rises_s`, and the process from the whole test.

    Rows in equal steps of time; `duty` is what was given from each row on, `learnt` what had been before the test.
    """
    cycles = len(rises_s) - 1
    keep = (t_s >= rises_s[0]) & (t_s < rises_s[-1])
    period_s = float(rises_s[-1] - rises_s[0]) / cycles
    parts = np.array_split(_calmed(pit_c[keep], cycles), cycles)
    amplitude_c = float(np.mean([np.ptp(part) for part in parts])) / 2.0
    found = fit_fopdt(t_s, np.concatenate(([learnt], duty[:-1])), pit_c)
    described = described_gain(amplitude_c, float(np.ptp(duty)) / 2.0, hysteresis_c)
    process = (found.gain, found.tau_s, found.delay_s)
    ultimate, ultimate_period_s = ultimate_point(*process)
    return Ultimate(amplitude_c, period_s, *process, described, ultimate, ultimate_period_s, described / ultimate - 1.0)


def _calmed(values: Array, cycles: int) -> Array:
    """A mean over a fortieth of a cycle: the heights are the process's, not the noise's."""
    width = max(1, len(values) // (40 * cycles))
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.asarray(np.convolve(padded, np.full(width, 1.0 / width), mode="valid"))


def swing(gain: float, tau_s: float, delay_s: float, size: float) -> tuple[float, float]:
    """(a, P) of a first-order lag with dead time under an even relay of +-size without hysteresis, closed form."""
    r = delay_s / tau_s
    return gain * size * (1.0 - math.exp(-r)), 2.0 * (delay_s + tau_s * math.log(2.0 - math.exp(-r)))


def described_gain(amplitude_c: float, size: float, hysteresis_c: float = 0.0) -> float:
    """Ku by the describing function: 4 d / (pi sqrt(a^2 - e^2)), in duty per degC."""
    return 4.0 * size / (math.pi * math.sqrt(max(amplitude_c**2 - hysteresis_c**2, 1e-12)))


def ultimate_point(gain: float, tau_s: float, delay_s: float) -> tuple[float, float]:
    """(Ku, Pu) of a first-order lag with dead time: w theta + atan(w tau) = pi."""

    def phase(w: float) -> float:
        return w * delay_s + math.atan(w * tau_s) - math.pi

    w = float(scipy.optimize.brentq(phase, 1e-9 / delay_s, math.pi / delay_s))
    return math.hypot(1.0, w * tau_s) / abs(gain), 2.0 * math.pi / w
