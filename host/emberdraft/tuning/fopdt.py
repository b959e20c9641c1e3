"""First order plus dead time from any record of input and output, with its uncertainty: the textbook's model.

y(t) = level + gain * (u delayed by delay_s, through a lag of tau_s). Gain and level are linear and follow in closed
form for each lag and dead time (variable projection, Golub and Pereyra, SIAM J. Numer. Anal. 10, 1973, 413); those two
are searched by scipy's least squares from several starts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import scipy  # its parts are loaded where they are first used: what starts needs none

from emberdraft.errors import UserError
from emberdraft.tuning.model import Array


@dataclass(frozen=True)
class Fopdt:
    """gain in output per input, tau_s and delay_s; the `_sd` are standard errors for white noise; rms of the fit."""

    gain: float
    tau_s: float
    delay_s: float
    gain_sd: float = 0.0
    tau_sd_s: float = 0.0
    delay_sd_s: float = 0.0
    rms: float = 0.0


def fit_fopdt(t_s: Array, u: Array, y: Array) -> Fopdt:
    """Fit it. `t_s` evenly spaced; u is held between samples (the value at t_s[k] acts from t_s[k] on)."""
    if len(t_s) < 10 or np.ptp(u) <= 0.0:
        raise UserError("fopdt: the input never moves; a step in it would be right")
    span_s, period_s = float(t_s[-1] - t_s[0]), float(t_s[1] - t_s[0])

    def miss(x: Array) -> Array:
        return _project(t_s, u, y, math.exp(x[0]), math.exp(x[1]))[0]

    low, high = np.log([0.5 * period_s, 0.02 * period_s]), np.log([20.0 * span_s, 0.7 * span_s])
    starts = [(a, b) for a in (0.02, 0.1, 0.4) for b in (0.005, 0.03, 0.12)]
    ranked = sorted(starts, key=lambda s: float(np.sum(miss(np.log(np.array(s) * span_s)) ** 2)))
    found = [
        scipy.optimize.least_squares(
            miss, np.clip(np.log(np.array(s) * span_s), low + 1e-6, high - 1e-6), bounds=(low, high)
        )
        for s in ranked[:2]
    ]
    x = min(found, key=lambda row: row.cost).x
    return _with_errors(t_s, u, y, math.exp(x[0]), math.exp(x[1]))


def response(t_s: Array, u: Array, tau_s: float, delay_s: float) -> Array:
    """The input's deviation from its first value through dead time and lag of gain 1, at t_s.

    Exact where the delayed input does not change between two samples; there its mean over the period is used.
    """
    period_s = float(t_s[1] - t_s[0])
    moved = np.asarray(u, float) - float(u[0])
    total = np.concatenate(([0.0], np.cumsum(moved[:-1]) * period_s))
    late = np.interp(t_s - delay_s, t_s, total, left=0.0)
    mean = np.diff(late, prepend=0.0) / period_s
    keep = math.exp(-period_s / tau_s)
    return np.asarray(scipy.signal.lfilter([1.0 - keep], [1.0, -keep], mean))


def _project(t_s: Array, u: Array, y: Array, tau_s: float, delay_s: float) -> tuple[Array, float]:
    shape = response(t_s, u, tau_s, delay_s)
    shape_c, y_c = shape - shape.mean(), y - y.mean()
    power = float(shape_c @ shape_c)
    gain = float(shape_c @ y_c) / power if power > 0.0 else 0.0
    return y_c - gain * shape_c, gain


def _with_errors(t_s: Array, u: Array, y: Array, tau_s: float, delay_s: float) -> Fopdt:
    """Standard errors from the full Jacobian (level, gain, lag, dead time)."""
    left, gain = _project(t_s, u, y, tau_s, delay_s)

    def at(tau: float, delay: float) -> Array:
        return gain * response(t_s, u, tau, delay)

    h_tau, h_delay = 1e-3 * tau_s, max(1e-3 * delay_s, 1e-3)
    columns = [
        np.ones_like(y),
        response(t_s, u, tau_s, delay_s),
        (at(tau_s + h_tau, delay_s) - at(tau_s - h_tau, delay_s)) / (2.0 * h_tau),
        (at(tau_s, delay_s + h_delay) - at(tau_s, delay_s - h_delay)) / (2.0 * h_delay),
    ]
    jacobian = np.stack(columns, axis=1)
    variance = float(left @ left) / max(len(y) - 4, 1)
    sd = np.sqrt(np.maximum(np.diag(np.linalg.pinv(jacobian.T @ jacobian)), 0.0) * variance)
    return Fopdt(gain, tau_s, delay_s, float(sd[1]), float(sd[2]), float(sd[3]), math.sqrt(float(np.mean(left**2))))
