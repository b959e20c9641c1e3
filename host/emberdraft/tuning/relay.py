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
from scipy.optimize import brentq

from emberdraft.errors import UserError
from emberdraft.tuning.fopdt import fit_fopdt
from emberdraft.tuning.model import Array

SIZE = 0.1
UNEVEN = 0.2
LONGEST_S = 3.0 * 3600.0
STRAYS_C = 10.0
CYCLES = 3
SAME = 0.15


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


class RelayTest:
    """`step` returns the duty, or None when the normal hold shall go on: then `done` or `stopped` says why.

    learnt_duty: what holding took before the test. The upper step is larger than the lower one by a fifth, so that the
    process's own gain shows too; near the ends of the blower both become smaller.
    """

    def __init__(self, target_c: float, learnt_duty: float, noise_c: float = 0.1, size: float = SIZE) -> None:
        room = min(learnt_duty, (1.0 - learnt_duty) / (1.0 + UNEVEN), size)
        if room < 0.02:
            raise UserError(
                f"relay: a learnt duty of {learnt_duty:.2f} leaves no room for a step; 0.02 to 0.97 would do"
            )
        self.target_c, self.learnt = target_c, learnt_duty
        self.high, self.low = learnt_duty + room * (1.0 + UNEVEN), learnt_duty - room
        self.hysteresis_c = max(0.25, 3.0 * noise_c)
        self.done, self.stopped = False, ""
        self._up = True
        self._rows: list[tuple[float, float, float]] = []
        self._rises_s: list[float] = []

    def step(self, t_s: float, pit_c: float | None, lid_open: bool = False) -> float | None:
        """One second of the test."""
        if self.done or self.stopped:
            return None
        self.stopped = self._reason(t_s, pit_c, lid_open)
        if self.stopped or pit_c is None:
            return None
        self._switch(t_s, pit_c)
        if self.done:
            return None
        duty = self.high if self._up else self.low
        self._rows.append((t_s, pit_c, duty))
        return duty

    def _reason(self, t_s: float, pit_c: float | None, lid_open: bool) -> str:
        if lid_open:
            return "the lid was opened"
        if pit_c is None or pit_c != pit_c:
            return "the pit probe has no value"
        if abs(pit_c - self.target_c) > STRAYS_C:
            return f"the pit is {abs(pit_c - self.target_c):.1f} degC from the target"
        if self._rows and t_s - self._rows[0][0] > LONGEST_S:
            return f"no steady swing within {LONGEST_S / 3600.0:.0f} h"
        return ""

    def _switch(self, t_s: float, pit_c: float) -> None:
        if self._up and pit_c > self.target_c + self.hysteresis_c:
            self._up = False
        elif not self._up and pit_c < self.target_c - self.hysteresis_c:
            self._up = True
            self._rises_s.append(t_s)
            self.done = self._steady()

    def _steady(self) -> bool:
        """The last cycles are alike: the swing has settled."""
        periods = np.diff(self._rises_s[-CYCLES - 1 :])
        return len(periods) == CYCLES and bool(np.ptp(periods) <= SAME * np.mean(periods))

    def result(self) -> Ultimate:
        """What the last cycles say of the swing, and the whole test of the process."""
        if not self.done:
            raise UserError(f"relay: not finished{': ' + self.stopped if self.stopped else ''}; nothing to read off it")
        t_s, pit_c, duty = np.array(self._rows).T
        return read_off(t_s, pit_c, duty, self._rises_s[-CYCLES - 1 :], self.learnt, self.hysteresis_c)


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

    w = float(brentq(phase, 1e-9 / delay_s, math.pi / delay_s))
    return math.hypot(1.0, w * tau_s) / abs(gain), 2.0 * math.pi / w
