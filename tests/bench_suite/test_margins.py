"""Margins against published values and against python-control."""

from __future__ import annotations

import math

import numpy as np
import pytest

from emberdraft.bench.margins import MS_BOUND, Pid, Process, margins


def test_simc_on_a_lag_dominated_process() -> None:
    """Skogestad, J. Process Control 13 (2003) 291, table of robustness: GM 3.14, PM 61.4 deg, Ms 1.59, 2.14 theta."""
    found = margins(Process(1.0, 8.0, 1.0), Pid(4.0, 8.0), 8.0, 1.0)
    assert found.gain_margin == pytest.approx(3.14, abs=0.005)
    assert found.phase_margin_deg == pytest.approx(61.4, abs=0.05)
    assert found.max_sensitivity == pytest.approx(1.59, abs=0.005)
    assert found.delay_margin_s == pytest.approx(2.14, abs=0.005)
    assert found.max_sensitivity < MS_BOUND


def test_simc_on_an_integrator() -> None:
    """The same table: GM 2.96, PM 46.9 deg, Ms 1.70, 1.59 theta."""
    found = margins(Process(1.0, math.inf, 1.0), Pid(0.5, 8.0), 8.0, 1.0)
    assert found.gain_margin == pytest.approx(2.96, abs=0.005)
    assert found.phase_margin_deg == pytest.approx(46.9, abs=0.05)
    assert found.max_sensitivity == pytest.approx(1.70, abs=0.005)
    assert found.delay_margin_s == pytest.approx(1.59, abs=0.005)


def test_margins_agree_with_python_control() -> None:
    """python-control 0.10 with a Pade dead time of order 8, on a PID with a filtered derivative."""

    import control

    process, pid = Process(180.0, 700.0, 90.0, 30.0), Pid(0.02, 600.0, 40.0, 10.0)
    found = margins(process, pid, 700.0, 10.0)
    s = control.tf("s")
    delay = control.tf(*control.pade(90.0, 8))
    loop = 180.0 / ((700.0 * s + 1) * (30.0 * s + 1)) * delay * 0.02 * (1 + 1 / (600.0 * s) + 40.0 * s / (10.0 * s + 1))
    gain_margin, phase_margin = control.stability_margins(loop)[:2]
    assert found.gain_margin == pytest.approx(gain_margin, rel=2e-3)
    assert found.phase_margin_deg == pytest.approx(phase_margin, rel=2e-3)
    w = np.geomspace(1e-4, 1.0, 4000)
    sensitivity = np.max(1.0 / np.abs(1.0 + np.asarray(loop(1j * w))))
    assert found.max_sensitivity == pytest.approx(sensitivity, rel=2e-3)


def test_a_lag_without_dead_time_has_no_gain_margin() -> None:
    assert margins(Process(1.0, 10.0, 0.0), Pid(5.0, 8.0), 10.0, 1.0).gain_margin == math.inf


def test_too_much_gain_is_said_to_be_unstable() -> None:
    """Four times SIMC's gain is above the gain margin of 3.14."""
    assert margins(Process(1.0, 8.0, 1.0), Pid(4.0, 8.0), 8.0, 1.0).stable
    assert not margins(Process(1.0, 8.0, 1.0), Pid(16.0, 8.0), 8.0, 1.0).stable
