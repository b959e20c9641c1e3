"""What an ordinary controller does on the same cooker through the same sensors.

On/off with 3 degC of hysteresis, and simple-pid with gains from a bump test on that very cooker by two published rules:
Ziegler and Nichols, Trans. ASME 64 (1942) 759 (step response: 1.2 T/(K L), 2 L, 0.5 L) and Skogestad's SIMC,
J. Process Control 13 (2003) 291 (Kc = T/(K (tc + L)), Ti = min(T, 4 (tc + L)), tight: tc = L).
The damper of all three follows the blower down to a floor. They raise no alarms and hold the last air while blind.
"""

from __future__ import annotations

from typing import Any

from emberdraft.errors import UserError

from .bump import Model

HYSTERESIS_C = 3.0
INTAKE_FLOOR = 0.1
STONE_PHASES = ("climb", "sear")


def _measured(meas: dict[str, Any], phase: str) -> float | None:
    value = meas["stone_c"] if phase in STONE_PHASES else meas["pit_c"]
    return None if value is None else float(value)


def _air(duty: float) -> dict[str, Any]:
    return {"blower": duty, "intake": max(duty, INTAKE_FLOOR), "trips": [], "notices": [], "estimate": {}}


class OnOff:
    """Blower on below the target less half the hysteresis, off above it plus half."""

    def __init__(self) -> None:
        self._duty = 1.0

    def update(self, t_s: float, meas: dict[str, Any], setpoint_c: float, phase: str) -> dict[str, Any]:
        """One control step."""
        measured_c = _measured(meas, phase)
        if measured_c is not None and measured_c > setpoint_c + 0.5 * HYSTERESIS_C:
            self._duty = 0.0
        elif measured_c is not None and measured_c < setpoint_c - 0.5 * HYSTERESIS_C:
            self._duty = 1.0
        return _air(self._duty)


class SimplePid:
    """The published simple-pid as its guide shows it: gains, limits 0..1, one call a second."""

    def __init__(self, kp: float, ti_s: float, td_s: float) -> None:
        try:
            from simple_pid import PID
        except ImportError as error:
            raise UserError("bench: the baselines need the package simple-pid: pip install simple-pid") from error
        self._pid = PID(kp, kp / ti_s, kp * td_s, output_limits=(0.0, 1.0), sample_time=None)
        self._gains = {"kp": kp, "ti_s": ti_s, "td_s": td_s}
        self._duty = 0.0
        self._last_s: float | None = None

    def tuning(self) -> dict[str, float]:
        """Gains in force, for the margins."""
        return self._gains

    def update(self, t_s: float, meas: dict[str, Any], setpoint_c: float, phase: str) -> dict[str, Any]:
        """One control step."""
        measured_c = _measured(meas, phase)
        dt_s = 1.0 if self._last_s is None else t_s - self._last_s
        self._last_s = t_s
        if measured_c is not None:
            self._pid.setpoint = setpoint_c
            self._duty = float(self._pid(measured_c, dt=dt_s))
        return _air(self._duty)


def ziegler_nichols(model: Model) -> SimplePid:
    """PID by the step-response rule of 1942."""
    kp = 1.2 * model.tau_s / (model.gain_c * model.delay_s)
    return SimplePid(kp, 2.0 * model.delay_s, 0.5 * model.delay_s)


def simc(model: Model) -> SimplePid:
    """PI by SIMC with the tight choice tc = delay."""
    kp = model.tau_s / (model.gain_c * 2.0 * model.delay_s)
    return SimplePid(kp, min(model.tau_s, 8.0 * model.delay_s), 0.0)
