"""Margins of a linearised loop with its dead time exact: gain margin, phase margin, maximum sensitivity.

The loop is L(s) = C(s) G(s) with G a first- or second-order lag plus dead time (or an integrator plus dead time) and
C the two-degree-of-freedom PID's feedback path, kp (1 + 1/(s Ti) + s Td / (1 + s Tf)). The margins are those of any
textbook (Astrom and Murray, Feedback Systems, chapter 10); Ms is the largest |1/(1 + L)|.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

Response = Callable[[np.ndarray], np.ndarray]
MS_BOUND = 1.7


@dataclass(frozen=True)
class Process:
    """gain exp(-delay s) / ((tau s + 1)(tau2 s + 1)); tau_s infinite: gain exp(-delay s) / (s (tau2 s + 1))."""

    gain: float
    tau_s: float
    delay_s: float
    tau2_s: float = 0.0

    def __call__(self, w: np.ndarray) -> np.ndarray:
        """Frequency response at angular frequencies w in rad/s."""
        s = 1j * w
        lag = s if math.isinf(self.tau_s) else self.tau_s * s + 1.0
        return np.asarray(self.gain * np.exp(-self.delay_s * s) / (lag * (self.tau2_s * s + 1.0)))


@dataclass(frozen=True)
class Pid:
    """Feedback path of the PID; ti_s infinite: no integral; filter_s is the derivative's."""

    kp: float
    ti_s: float
    td_s: float = 0.0
    filter_s: float = 0.0

    def __call__(self, w: np.ndarray) -> np.ndarray:
        """Frequency response at angular frequencies w in rad/s."""
        s = 1j * w
        integral = 0.0 if math.isinf(self.ti_s) else 1.0 / (self.ti_s * s)
        return np.asarray(self.kp * (1.0 + integral + self.td_s * s / (1.0 + self.filter_s * s)))


@dataclass(frozen=True)
class Margins:
    """gain_margin as a factor, phase_margin_deg, max_sensitivity (Ms); delay_margin_s: dead time that may be added."""

    gain_margin: float
    phase_margin_deg: float
    max_sensitivity: float
    delay_margin_s: float

    @property
    def stable(self) -> bool:
        """Whether the closed loop is stable, for a loop that falls through gain 1 and phase -180 deg at most once."""
        return self.gain_margin > 1.0 and self.phase_margin_deg > 0.0


def margins(process: Response, controller: Response, slow_s: float, fast_s: float, points: int = 40000) -> Margins:
    """Margins from a fine logarithmic grid between 1/(100 slow_s) and 100/fast_s rad/s (time scales of the loop)."""
    w = np.geomspace(0.01 / slow_s, 100.0 / fast_s, points)
    loop = process(w) * controller(w)
    size, angle = np.abs(loop), np.unwrap(np.angle(loop))
    at_gain, at_phase = _falls_through(np.log(size), 0.0), _falls_through(angle, -math.pi)
    phase_deg = math.inf if at_gain is None else 180.0 + math.degrees(_at(angle, at_gain))
    crossing_w = math.nan if at_gain is None else _at(w, at_gain)
    return Margins(
        gain_margin=math.inf if at_phase is None else 1.0 / _at(size, at_phase),
        phase_margin_deg=phase_deg,
        max_sensitivity=float(np.max(1.0 / np.abs(1.0 + loop))),
        delay_margin_s=math.inf if at_gain is None else math.radians(phase_deg) / crossing_w,
    )


def _falls_through(curve: np.ndarray, level: float) -> float | None:
    """The first place (fractional index) where the curve falls through the level."""
    above = curve > level
    hits = np.nonzero(above[:-1] & ~above[1:])[0]
    if not len(hits):
        return None
    i = int(hits[0])
    return i + float((curve[i] - level) / (curve[i] - curve[i + 1]))


def _at(curve: np.ndarray, place: float) -> float:
    i = min(int(place), len(curve) - 2)
    return float(curve[i] + (place - i) * (curve[i + 1] - curve[i]))
