"""A bump test on one cooker, as a person without a model would do it, and the first-order model read off it.

Bring the cooker near its target with an on/off switch, leave the blower at the mean duty that this took, then step it
up and watch through the bench's sensors. The model is first order plus dead time with a straight drift before the step,
because a charcoal fire is never quite steady.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .rig import Rig
from .scenarios import HOLD_C, HOLD_EXHAUST, MIN, Scenario, Step
from .sensors import Sensors

SWITCHED_S = 100 * MIN
REST_S = 25 * MIN
WATCH_S = 45 * MIN
SIZE = 0.15
EVERY_S = 10


@dataclass(frozen=True)
class Model:
    """First order plus dead time: gain_c in degC per unit of blower, tau_s and delay_s in seconds."""

    gain_c: float
    tau_s: float
    delay_s: float


def bump_test(rig: Rig, sensors: Sensors, follow_intake: float) -> Model:
    """Run the test on a fresh rig and return the fitted model."""
    duty = _switched_mean(rig, sensors, follow_intake)
    rest = _record(rig, sensors, duty, REST_S, follow_intake)
    size = SIZE if duty + SIZE <= 1.0 else -SIZE
    after = _record(rig, sensors, duty + size, WATCH_S, follow_intake)
    return fit(np.asarray(rest), np.asarray(after), size)


def bump_scenario() -> Scenario:
    """Nothing happens but lighting: the test's own hands move the blower."""
    steps = (Step(0.0, "exhaust", (HOLD_EXHAUST,)), Step(0.0, "order", ("slow", HOLD_C)))
    return Scenario("bump", "bump test", SWITCHED_S + REST_S + WATCH_S, steps, "hold")


def _reading(rig: Rig, sensors: Sensors, duty: float, follow_intake: float) -> float:
    truth = rig.advance(1.0, duty, max(duty, follow_intake))
    return float(sensors.read(rig.t_s, 1.0, truth, "", 0.0)["pit_c"])


def _switched_mean(rig: Rig, sensors: Sensors, follow_intake: float) -> float:
    """On below, off above the target; the mean duty of the last half hour."""
    duty, used = 1.0, []
    while rig.t_s < SWITCHED_S:
        duty = 1.0 if _reading(rig, sensors, duty, follow_intake) < HOLD_C else 0.0
        used.append(duty)
    return sum(used[-1800:]) / 1800.0


def _record(rig: Rig, sensors: Sensors, duty: float, length_s: float, follow_intake: float) -> list[float]:
    readings = [_reading(rig, sensors, duty, follow_intake) for _ in range(int(length_s))]
    return [sum(readings[i : i + EVERY_S]) / EVERY_S for i in range(0, len(readings) - EVERY_S + 1, EVERY_S)]


def fit(before_c: np.ndarray, after_c: np.ndarray, size: float) -> Model:
    """Least squares over a grid of time constants and delays; for each the gain follows in closed form."""
    old_s = EVERY_S * (np.arange(len(before_c)) - len(before_c))
    late = old_s >= -600.0
    drift, level = np.polyfit(old_s[late], before_c[late], 1)
    time_s = EVERY_S * (np.arange(len(after_c)) + 0.5)
    # The drift would not have gone on for ever: it is let die away over the record.
    risen_c = after_c - level - drift * 900.0 * (1.0 - np.exp(-time_s / 900.0))
    best = min(_candidates(time_s, risen_c), key=lambda row: row[0])
    return Model(gain_c=max(best[1] / size, 1.0), tau_s=best[2], delay_s=best[3])


def _candidates(time_s: np.ndarray, risen_c: np.ndarray) -> list[tuple[float, float, float, float]]:
    rows = []
    for tau_s in np.geomspace(60.0, 7200.0, 40):
        for delay_s in np.geomspace(10.0, 900.0, 30):
            shape = np.where(time_s > delay_s, 1.0 - np.exp(-(time_s - delay_s) / tau_s), 0.0)
            power = float(shape @ shape)
            gain = float(shape @ risen_c) / power if power > 0.0 else 0.0
            error = float(np.sum((risen_c - gain * shape) ** 2))
            rows.append((error, gain, float(tau_s), float(delay_s)))
    return rows
