"""Gains from a first-order model by named rules, in the board's own units (kp in duty per degC, times in seconds).

SIMC    Skogestad, J. Process Control 13 (2003) 291: Kc = tau / (k (tau_c + theta)), Ti = min(tau, 4 (tau_c + theta))
AMIGO   Astrom and Hagglund, J. Process Control 14 (2004) 635, PI form, aims at Ms 1.4
lambda  Kc = tau / (k (lambda + theta)), Ti = tau: the closed loop as a first-order lag of lambda
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass

from emberboard.core import limits
from emberdraft.errors import UserError

RULES = ("simc", "amigo", "lambda")
# Steadier - Quicker: tau_c as a multiple of the dead time, from 8 (0) to half of it (1), in equal ratios.
STEADIEST, QUICKEST = 8.0, 0.5
BOUNDS = {
    "kp": (limits.KP_LOW, limits.KP_HIGH),
    "ti_s": (limits.TI_LOW_S, limits.TI_HIGH_S),
    "td_s": (limits.TD_LOW_S, limits.TD_HIGH_S),
    "b": (limits.B_LOW, limits.B_HIGH),
}


@dataclass(frozen=True)
class Gains:
    """kp in duty per degC, ti_s and td_s in seconds (ideal form), b the share of the set-point in P."""

    kp: float
    ti_s: float
    td_s: float = 0.0
    b: float = 1.0

    def as_args(self) -> dict[str, float]:
        """As the order takes them."""
        return {name: float(f"{value:.5g}") for name, value in asdict(self).items()}


def tau_c_of(slider: float, delay_s: float) -> float:
    """tau_c in seconds for the slider Steadier (0) - Quicker (1)."""
    if not 0.0 <= slider <= 1.0:
        raise UserError(f"slider {slider:g}: 0 (steadier) to 1 (quicker) would be right")
    return float(delay_s * STEADIEST * (QUICKEST / STEADIEST) ** slider)


def simc(gain: float, tau_s: float, delay_s: float, tau_c_s: float | None = None, tau2_s: float = 0.0) -> Gains:
    """SIMC; tau_c_s None: equal to the dead time (tight). With a second lag the series PID, in ideal form."""
    wait_s = (delay_s if tau_c_s is None else tau_c_s) + delay_s
    kp, ti_s = tau_s / (gain * wait_s), min(tau_s, 4.0 * wait_s)
    if tau2_s <= 0.0:
        return Gains(kp, ti_s)
    more = 1.0 + tau2_s / ti_s
    return Gains(kp * more, ti_s * more, tau2_s / more)


def half_rule(lags_s: list[float], delay_s: float, period_s: float = 0.0, zeros_s: float = 0.0) -> tuple[float, float]:
    """(tau, theta) of a first-order model for lags in a row: half of the largest lag left out goes to each side."""
    first, *rest = sorted(lags_s, reverse=True)
    if not rest:
        return first, delay_s + zeros_s + 0.5 * period_s
    theta = delay_s + zeros_s + 0.5 * period_s + 0.5 * rest[0] + sum(rest[1:])
    return first + 0.5 * rest[0], theta


def amigo(gain: float, tau_s: float, delay_s: float) -> Gains:
    """AMIGO for PI; b is 0 for lag-dominated processes (dead time under half of the sum), else 1."""
    both = delay_s + tau_s
    kp = 0.15 / gain + (0.35 - delay_s * tau_s / both**2) * tau_s / (gain * delay_s)
    ti_s = 0.35 * delay_s + 13.0 * delay_s * tau_s**2 / (tau_s**2 + 12.0 * delay_s * tau_s + 7.0 * delay_s**2)
    return Gains(kp, ti_s, 0.0, _weight(tau_s, delay_s))


def amigo_pid(gain: float, tau_s: float, delay_s: float) -> Gains:
    """AMIGO for PID."""
    kp = (0.2 + 0.45 * tau_s / delay_s) / gain
    ti_s = delay_s * (0.4 * delay_s + 0.8 * tau_s) / (delay_s + 0.1 * tau_s)
    td_s = 0.5 * delay_s * tau_s / (0.3 * delay_s + tau_s)
    return Gains(kp, ti_s, td_s, _weight(tau_s, delay_s))


def _weight(tau_s: float, delay_s: float) -> float:
    return 0.0 if delay_s / (delay_s + tau_s) < 0.5 else 1.0


def lambda_pi(gain: float, tau_s: float, delay_s: float, lambda_s: float | None = None) -> Gains:
    """Lambda tuning; lambda_s None: three dead times."""
    return Gains(tau_s / (gain * ((3.0 * delay_s if lambda_s is None else lambda_s) + delay_s)), tau_s)


def by_rule(rule: str, gain: float, tau_s: float, delay_s: float, tau_c_s: float | None = None) -> Gains:
    """Gains by name; `tau_c_s` is SIMC's tau_c or lambda, AMIGO has no such number."""
    if min(gain, tau_s, delay_s) <= 0.0:
        raise UserError("rules: gain, lag and dead time must be above zero")
    if tau_c_s is not None and tau_c_s <= 0.0:
        raise UserError(f"tau-c {tau_c_s:g} s: above 0 would be right")
    made: dict[str, Callable[[], Gains]] = {
        "simc": lambda: simc(gain, tau_s, delay_s, tau_c_s),
        "amigo": lambda: amigo(gain, tau_s, delay_s),
        "lambda": lambda: lambda_pi(gain, tau_s, delay_s, tau_c_s),
    }
    if rule not in made:
        raise UserError(f"rule {rule!r}: one of {', '.join(RULES)}")
    if rule == "amigo" and tau_c_s is not None:
        raise UserError("tau-c: AMIGO has no such choice; --rule simc or lambda has")
    return made[rule]()


def refusal(gains: Gains) -> str:
    """'' when the board would take them, else which one it would refuse and what would be right."""
    for name, (low, high) in BOUNDS.items():
        value = getattr(gains, name)
        if not low <= value <= high:
            return f"{name} {value:.4g}: the board takes {low:g} to {high:g}"
    return ""


def into_bounds(gains: Gains) -> Gains:
    """The nearest gains that the board takes."""
    held = {name: min(max(getattr(gains, name), low), high) for name, (low, high) in BOUNDS.items()}
    return Gains(**held)
