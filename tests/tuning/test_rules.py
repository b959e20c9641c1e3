"""Named rules against their published or independently computed figures."""

from __future__ import annotations

import math

import numpy as np
import pytest

from emberboard.core.controller import Controller
from emberdraft.bench.margins import Pid, Process, margins
from emberdraft.errors import UserError
from emberdraft.tuning.rules import (
    Gains,
    amigo,
    amigo_pid,
    by_rule,
    half_rule,
    into_bounds,
    lambda_pi,
    refusal,
    simc,
    tau_c_of,
)


def test_skogestads_first_example_by_the_half_rule() -> None:
    """E1 of J. Process Control 13 (2003) 291, from memory: lags 2, 1, 0.4, 0.2, 3 x 0.05, zeros -0.3 and +0.08.

    The positive zero 0.08 is taken off the lag 0.2 next to it there, which leaves 0.12.
    """
    tau, theta = half_rule([2.0, 1.0, 0.4, 0.12, 0.05, 0.05, 0.05], 0.0, zeros_s=0.3)
    assert (tau, theta) == pytest.approx((2.5, 1.47))
    first = simc(1.0, tau, theta)
    assert (first.kp, first.ti_s) == pytest.approx((0.850, 2.5), abs=1e-3)
    second = simc(1.0, 2.0, 0.77, tau2_s=1.2)
    assert (second.kp, second.ti_s, second.td_s) == pytest.approx((2.078, 3.2, 0.75), abs=2e-3)


def test_the_robustness_table_of_simc() -> None:
    """Skogestad's table (from memory; computed by others and equal): tau <= 8 theta, and an integrator."""
    gains = simc(1.0, 5.0, 1.0)
    found = margins(Process(1.0, 5.0, 1.0), Pid(gains.kp, gains.ti_s), 5.0, 1.0)
    assert found.gain_margin == pytest.approx(3.14, abs=0.01)
    assert found.phase_margin_deg == pytest.approx(61.4, abs=0.1)
    assert found.max_sensitivity == pytest.approx(1.59, abs=0.01)
    assert found.delay_margin_s == pytest.approx(2.14, abs=0.01)
    slow = margins(Process(1.0, math.inf, 1.0), Pid(0.5, 8.0), 8.0, 1.0)
    assert (slow.gain_margin, slow.phase_margin_deg) == pytest.approx((2.96, 46.9), abs=0.05)
    assert slow.max_sensitivity == pytest.approx(1.70, abs=0.01)


@pytest.mark.parametrize(
    ("process", "pi", "pid"),
    [
        ((1.0, 10.0, 1.0), (2.82355, 6.07687), (4.7, 4.2, 0.48544)),
        ((1.0, 1.0, 1.0), (0.25, 1.0), (0.65, 1.09091, 0.38462)),
        ((1.0, 5.0, 1.0), (1.20556, 3.88261), (2.45, 2.93333, 0.47170)),
        ((2.0, 300.0, 60.0), (0.60278, 232.957), (1.225, 176.0, 28.302)),
    ],
)
def test_amigo_rows(process: tuple[float, ...], pi: tuple[float, ...], pid: tuple[float, ...]) -> None:
    """Rows computed independently from the published formulas (J. Process Control 14, 2004, 635)."""
    made, full = amigo(*process), amigo_pid(*process)
    assert (made.kp, made.ti_s) == pytest.approx(pi, rel=1e-5)
    assert (full.kp, full.ti_s, full.td_s) == pytest.approx(pid, rel=1e-4)


def test_amigo_reaches_its_aim_of_robustness() -> None:
    """Ms of the (1, 10, 1) row, computed independently: 1.317."""
    made = amigo(1.0, 10.0, 1.0)
    assert margins(Process(1.0, 10.0, 1.0), Pid(made.kp, made.ti_s), 10.0, 1.0).max_sensitivity == pytest.approx(
        1.317, abs=0.002
    )


def test_lambda_three_and_ten() -> None:
    """(1, 10, 1): 2.5 and 0.90909 by K = T / (k (lambda + L))."""
    assert lambda_pi(1.0, 10.0, 1.0, 3.0).kp == pytest.approx(2.5)
    assert lambda_pi(1.0, 10.0, 1.0, 10.0).kp == pytest.approx(0.90909, abs=1e-5)


@pytest.mark.parametrize(("rule", "wait_s"), [("simc", None), ("simc", 300.0), ("amigo", None), ("lambda", 200.0)])
def test_margins_agree_with_python_control(rule: str, wait_s: float | None) -> None:
    """The same loop with an eighth-order Pade dead time in python-control."""

    import control

    gain, tau_s, delay_s = 180.0, 700.0, 90.0
    made = by_rule(rule, gain, tau_s, delay_s, wait_s)
    found = margins(Process(gain, tau_s, delay_s), Pid(made.kp, made.ti_s), tau_s, delay_s)
    num, den = control.pade(delay_s, 8)
    s = control.tf("s")
    loop = made.kp * (1 + 1 / (made.ti_s * s)) * gain / (tau_s * s + 1) * control.tf(num, den)
    gain_margin, phase_margin, *_ = control.margin(loop)
    w = np.geomspace(1e-5, 1.0 / delay_s * 5.0, 4000)
    peak = float(np.max(np.abs(1.0 / (1.0 + control.frequency_response(loop, w).complex))))
    assert found.gain_margin == pytest.approx(gain_margin, rel=2e-3)
    assert found.phase_margin_deg == pytest.approx(phase_margin, abs=0.1)
    assert found.max_sensitivity == pytest.approx(peak, rel=2e-3)


def test_the_slider_goes_from_steadier_to_quicker() -> None:
    waits = [tau_c_of(x, 60.0) for x in (0.0, 0.25, 0.5, 0.75, 1.0)]
    assert waits == sorted(waits, reverse=True)
    assert waits == pytest.approx([480.0, 240.0, 120.0, 60.0, 30.0])
    with pytest.raises(UserError, match="slider"):
        tau_c_of(1.2, 60.0)


def test_what_the_board_refuses_is_refused_here_and_nothing_else() -> None:
    """The board's own order is the judge."""
    for gains in (Gains(0.21, 600.0), Gains(0.05, 60.0), Gains(0.05, 600.0, 901.0), Gains(0.05, 600.0, 0.0, 1.1)):
        assert Controller(1).order("gains", gains.as_args(), 0)[0] == "out_of_range"
        assert refusal(gains)
        assert Controller(1).order("gains", into_bounds(gains).as_args(), 0)[0] == ""
        assert refusal(into_bounds(gains)) == ""


def test_a_rule_that_is_not_there_or_a_choice_it_has_not_is_said() -> None:
    with pytest.raises(UserError, match="one of simc"):
        by_rule("best", 1.0, 1.0, 1.0)
    with pytest.raises(UserError, match="AMIGO has no such choice"):
        by_rule("amigo", 1.0, 1.0, 1.0, 30.0)
    with pytest.raises(UserError, match="above 0"):
        by_rule("simc", 1.0, 1.0, 1.0, -3.0)
