"""The twin's equations: air, fire, pit, wall, and a slow disturbance that stands for all that is not modelled.

    air   a  = opening (n + (1 - n) drive)                  n: the share that comes by natural draught
    fire  f1' = (a(t - delay) - f1) / quick_s               f2' = (f1 - f2) / slow_s
    pit   y' = heat (share f1 + (1 - share) f2) - loss (y - ambient) - wall (y - w) + d
    wall  w' = (y - w) / soak_s - (w - ambient) / cool_s

Air is relative to full blower with the damper open; y and w in degC; heat and d in degC/s. A blower's flow is
taken to go with its speed (fan law) on top of the draught; adding pressures instead, with flow as their root, foretold
the simulated cookers worse. The equations are smaller than any of those and share no constant with one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP_S = 5
# Name: middle and log spread (1 sigma) of what is believed before a cook is seen.
PRIOR: dict[str, tuple[float, float]] = {
    "draught": (0.12, 0.7),
    "delay_s": (25.0, 0.6),
    "quick_s": (60.0, 0.7),
    "slow_s": (500.0, 0.7),
    "share": (0.45, 0.4),
    "heat_cps": (0.45, 0.7),
    "loss_per_s": (1.0e-3, 0.8),
    "wall_per_s": (2.0e-3, 0.8),
    "soak_s": (1500.0, 0.7),
    "cool_s": (6000.0, 0.8),
}
NAMES = tuple(PRIOR)
MIDDLE = np.log([PRIOR[name][0] for name in NAMES])
SPREAD = np.array([PRIOR[name][1] for name in NAMES])


def constants(z: Array) -> dict[str, Any]:
    """Constants from prior units (z: one guess, or guesses in rows), floats or arrays over the guesses."""
    values = np.exp(MIDDLE + SPREAD * z)
    found = {name: values[..., i] for i, name in enumerate(NAMES)}
    found["share"] = np.minimum(found["share"], 0.95)
    return {name: float(v) if np.ndim(v) == 0 else v for name, v in found.items()}


@dataclass
class State:
    """Fire in relative air, pit and wall in degC, disturbance in degC/s; floats, or arrays over guesses."""

    f1: Any
    f2: Any
    pit_c: Any
    wall_c: Any
    d_cps: Any


def air(c: dict[str, Any], drive: Any, opening: Any) -> Any:
    """Relative air for drive and damper 0..1."""
    return opening * (c["draught"] + (1.0 - c["draught"]) * drive)


def advance(c: dict[str, Any], s: State, a: Any, ambient_c: float, dt_s: float) -> None:
    """Move `s` on by dt_s under the air `a` that was let in a dead time ago."""
    f1, f2, y, w = s.f1, s.f2, s.pit_c, s.wall_c
    burning = c["share"] * f1 + (1.0 - c["share"]) * f2
    s.f1 = f1 + (a - f1) * (dt_s / (c["quick_s"] + dt_s))
    s.f2 = f2 + (f1 - f2) * (dt_s / (c["slow_s"] + dt_s))
    rate = c["loss_per_s"] + c["wall_per_s"]
    push = c["heat_cps"] * burning + c["loss_per_s"] * ambient_c + c["wall_per_s"] * w + s.d_cps
    s.pit_c = (y + dt_s * push) / (1.0 + dt_s * rate)
    s.wall_c = w + dt_s * ((y - w) / c["soak_s"] - (w - ambient_c) / c["cool_s"])
