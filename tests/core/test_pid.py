"""The PID against independent numbers: textbook trace, simple-pid, and exact identities."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
import simple_pid
from hypothesis import given
from hypothesis import strategies as st

from emberboard.core.pid import Pid

COMPUTED = Path(__file__).parents[1] / "computed"


def rows(name: str) -> list[dict[str, float]]:
    """The numeric rows of a trace computed apart from this code, its `#` source lines left out."""
    lines = [x for x in (COMPUTED / name).read_text(encoding="utf-8").splitlines() if not x.startswith("#")]
    return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(lines)]


def test_every_term_of_the_textbook_trace_is_met():
    """Astrom and Murray, Feedback Systems ch. 11 (pid_trace_textbook.csv, computed independently)."""
    pid = Pid(2.0, 100.0, 10.0, b=1.0, n=5.0, tt_s=30.0)
    for row in rows("pid_trace_textbook.csv"):
        assert pid.i == pytest.approx(row["I_before"], abs=2e-6)
        u = pid.step(row["r"], row["y"], 5.0, 0.0, 100.0)
        assert (pid.p, pid.d, pid.v) == pytest.approx((row["P"], row["D"], row["v"]), abs=2e-6)
        assert u == pytest.approx(row["u"], abs=2e-6)


def test_p_and_unfiltered_d_equal_simple_pid():
    """simple-pid 2.0.1: P on the error, D on the measurement without a filter (n so large that Tf is 0)."""
    ours = Pid(2.0, 1e15, 10.0, n=1e18)
    for row in rows("pid_trace_simple_pid.csv"):
        ours.step(row["r"], row["y"], 5.0, -1e9, 1e9)
        assert (ours.p, ours.d) == pytest.approx((row["P"], row["D"]), abs=1e-9)


def test_integral_before_a_step_equals_that_of_simple_pid_after_the_step_before():
    """Ours integrates after the output, simple-pid before it: one step apart, otherwise equal to 1e-9."""
    theirs = simple_pid.PID(0.5, 0.01, 3.0, setpoint=110.0, sample_time=None, output_limits=(-1e6, 1e6))
    ours = Pid(0.5, 50.0, 6.0, n=1e18)
    ours.step(110.0, 20.0, 1.0, -1e6, 1e6)
    theirs(20.0, dt=1.0)
    for k in range(200):
        y = 20.0 + 0.4 * k + (k % 7)
        before = theirs.components[1]
        u = ours.step(110.0, y, 1.0, -1e6, 1e6)
        out = theirs(y, dt=1.0)
        assert ours.v - ours.p - ours.d == pytest.approx(before, abs=1e-9)
        assert u + 0.01 * (110.0 - y) == pytest.approx(out, abs=1e-9)


def test_back_calculation_lets_go_where_a_clamped_integral_does_not():
    """The difference by design, same signals (both traces in tests/computed): at row 19 simple-pid 96.4, ours 28.6."""
    ours, theirs = Pid(2.0, 100.0, 10.0, tt_s=30.0), rows("pid_trace_simple_pid.csv")
    u = [ours.step(row["r"], row["y"], 5.0, 0.0, 100.0) for row in theirs]
    assert (theirs[19]["u"], u[19]) == pytest.approx((96.4, 28.605909), abs=1e-6)


def loop(pid: Pid, *, ref: float = 0.0, load: float = 0.0, tau: float = 10.0, theta: float = 1.0) -> np.ndarray:
    """Errors of a first-order plant of gain 1 with dead time under `pid`, unit steps, h 0.005."""
    h, y, late = 0.005, 0.0, int(theta / 0.005)
    line = [0.0] * late
    errors = []
    for _ in range(int(300 / h)):
        line.append(pid.step(ref, y, h, -1e9, 1e9) + load)
        y += h / tau * (line.pop(0) - y)
        errors.append(ref - y)
    return np.array(errors) * h


@pytest.mark.parametrize(("kp", "ti", "ie"), [(5.0, 8.0, 1.6), (5.0, 10.0, 2.0), (2.8236, 6.0769, 2.1522)])
def test_integrated_error_after_a_load_step_is_ti_over_k(kp: float, ti: float, ie: float):
    """IE = d Ti/K (Astrom and Hagglund), the three cases of the published table."""
    assert -loop(Pid(kp, ti), load=1.0).sum() == pytest.approx(ie, abs=2e-3)


@pytest.mark.parametrize(("b", "ie"), [(1.0, 2.0 * 0.8), (0.5, 5.6), (0.0, 9.6)])
def test_integrated_error_after_a_reference_step_follows_the_weight(b: float, ie: float):
    """IE = Ti/(K k) + Ti (1 - b) with K 5, Ti 8."""
    assert loop(Pid(5.0, 8.0, b=b), ref=1.0).sum() == pytest.approx(ie, abs=0.02)


def test_load_response_is_the_same_for_every_weight():
    """b weighs only the reference: at reference 0 the responses are identical, bit for bit."""
    one, half = (loop(Pid(5.0, 8.0, 0.5, b=b), load=1.0) for b in (1.0, 0.5))
    assert np.array_equal(one, half)


def test_simc_gains_give_the_published_overshoot_and_iae():
    """SIMC (Skogestad 2003) on gain 1, tau 10, theta 1: Kc 5, Ti 8: overshoot 8.13 %, IAE 2.500."""
    e = loop(Pid(5.0, 8.0), ref=1.0)
    assert -e.min() / 0.005 == pytest.approx(0.0813, abs=1e-3)
    assert np.abs(e).sum() == pytest.approx(2.5, abs=0.02)


def test_margins_of_the_same_loop_by_python_control():
    """GM 3.106, PM 58.35 deg for Kc 5, Ti 8 on e^-s/(10s+1), by python-control with a 10th-order Pade delay."""

    import control

    pid = Pid(5.0, 8.0)
    s = control.tf("s")
    num, den = control.pade(1.0, 10)
    gm, pm, _, _ = control.margin(pid.kp * (1 + 1 / (pid.ti_s * s)) * control.tf(num, den) / (10 * s + 1))
    assert (gm, pm) == pytest.approx((3.106, 58.35), rel=5e-3)


def running() -> Pid:
    """A PID in the middle of a hold."""
    pid = Pid(0.02, 900.0, 120.0, b=0.7)
    for k in range(50):
        pid.step(0.0, -3.0 + 0.05 * k, 1.0, 0.0, 1.0, 0.1)
    return pid


@given(st.floats(0.001, 0.2), st.floats(120, 14400), st.floats(1, 900), st.floats(0, 1))
def test_new_gains_do_not_bump_the_output(kp: float, ti: float, td: float, b: float):
    pid = running()
    before = pid.p + pid.i + pid.d + pid.ff
    pid.set_gains(kp, ti, td, b)
    assert pid.p + pid.i + pid.d + pid.ff == pytest.approx(before, abs=1e-12)


def test_a_new_reference_can_be_taken_without_a_bump():
    pid = running()
    pid.td_s = 0.0
    y = -0.55
    kept = pid.step(0.0, y, 1e-9, -9.0, 9.0, 0.1)
    pid.new_ref(25.0)
    assert pid.step(25.0, y, 1e-9, -9.0, 9.0, 0.1) == pytest.approx(kept, abs=1e-9)


def test_tracking_hands_over_at_the_output_that_was_in_force():
    pid = running()
    pid.track(0.0, -7.0, 0.37)
    assert pid.step(0.0, -7.0, 1e-9, 0.0, 1.0, pid.ff) == pytest.approx(0.37, abs=1e-9)


def test_a_step_that_takes_no_time_keeps_the_derivative_without_a_filter_too() -> None:
    pid = Pid(1.0, 100.0, 0.0)
    for dt_s in (1.0, 0.0):
        pid.step(120.0, 119.0, dt_s)
        assert pid.d == 0.0
