"""First order plus dead time, recovered from made-up records with known constants, and against scipy's curve_fit."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.tuning.fopdt import fit_fopdt


def _step(t_s: np.ndarray, gain: float, tau_s: float, delay_s: float) -> np.ndarray:
    """The closed form of a first-order lag's answer to a unit step at 0."""
    return np.where(t_s > delay_s, gain * (1.0 - np.exp(-np.maximum(t_s - delay_s, 0.0) / tau_s)), 0.0)


def test_known_constants_come_back_from_a_clean_step() -> None:
    t_s = np.arange(0.0, 3600.0, 5.0)
    u = np.concatenate(([0.0], np.ones(len(t_s) - 1)))
    found = fit_fopdt(t_s, u, 20.0 + _step(t_s - 5.0, 180.0, 700.0, 90.0))
    assert found.gain == pytest.approx(180.0, rel=1e-3)
    assert found.tau_s == pytest.approx(700.0, rel=2e-3)
    assert found.delay_s == pytest.approx(90.0, abs=1.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_with_noise_it_agrees_with_curve_fit_and_states_its_error(seed: int) -> None:
    from scipy.optimize import curve_fit

    t_s = np.arange(0.0, 3600.0, 5.0)
    u = np.concatenate(([0.0], np.ones(len(t_s) - 1)))
    y = _step(t_s - 5.0, 180.0, 700.0, 90.0) + np.random.default_rng(seed).normal(0.0, 0.5, len(t_s))
    found = fit_fopdt(t_s, u, y)
    other, _ = curve_fit(lambda t, *x: x[3] + _step(t - 5.0, *x[:3]), t_s, y, p0=(150.0, 500.0, 60.0, 0.0))
    assert (found.gain, found.tau_s, found.delay_s) == pytest.approx(tuple(other[:3]), rel=0.02)
    assert abs(found.gain - 180.0) < 4.0 * found.gain_sd
    assert abs(found.tau_s - 700.0) < 4.0 * found.tau_sd_s
    assert abs(found.delay_s - 90.0) < 4.0 * found.delay_sd_s + 0.5
    assert found.rms == pytest.approx(0.5, rel=0.1)


def test_an_input_that_moves_all_the_time_does_as_well() -> None:
    t_s = np.arange(0.0, 7200.0, 5.0)
    u = np.repeat(np.random.default_rng(4).uniform(0.0, 1.0, 48), 30)
    y = np.zeros_like(t_s)
    for k, (before, after) in enumerate(itertools.pairwise(u)):
        y += _step(t_s - t_s[k + 1], 60.0 * (after - before), 300.0, 40.0) if after != before else 0.0
    found = fit_fopdt(t_s, u, y)
    assert (found.gain, found.tau_s, found.delay_s) == pytest.approx((60.0, 300.0, 40.0), rel=0.01)


def test_an_input_that_never_moves_is_refused() -> None:
    t_s = np.arange(0.0, 100.0, 1.0)
    with pytest.raises(UserError, match="never moves"):
        fit_fopdt(t_s, np.full(100, 0.3), np.linspace(20.0, 30.0, 100))
