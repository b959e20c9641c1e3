"""The bank's filters against filterpy step by step, the weights against Bayes' rule, the look ahead against scipy."""

from __future__ import annotations

import math

import filterpy.kalman
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.stats import chi2, norm

from emberdraft.bench.law import bank

TAU_S, LOSS_S, G, DT_S = 80.0, 3000.0, 0.07, 5.0
LAG, LEAK = 1.0 - math.exp(-DT_S / TAU_S), DT_S / LOSS_S
Q_FIRE, Q_PIT, Q_DIST, NOISE = 4e-6, 0.01, 1e-9, 0.09


def matrices() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The same model as matrices, written down from the equations in the module's docstring (loss to 20 degC)."""
    transition = np.array(
        [[1 - LAG, 0, 0, 0], [LAG, 1 - LAG, 0, 0], [0, DT_S, 1 - LEAK, DT_S], [0, 0, 0, 1.0]],
    )
    push = np.array([[LAG * G], [0.0], [0.0], [0.0]])
    return transition, push, np.diag([Q_FIRE, 0.0, Q_PIT, Q_DIST])


def truth(steps: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Air, and noisy samples of a cooker that is the model itself."""
    chance = np.random.default_rng(seed)
    transition, push, noise = matrices()
    x, air, seen = np.array([0.02, 0.02, 100.0, 0.001]), [], []
    for k in range(steps):
        air.append(0.2 + 0.3 * (k // 60 % 2))
        x = transition @ x + push[:, 0] * air[-1] + np.array([0.0, 0.0, LEAK * 20.0, 0.0])
        x += chance.normal(size=4) * np.sqrt(np.diag(noise))
        seen.append(x[2] + chance.normal() * math.sqrt(NOISE))
    return np.array(air), np.array(seen)


def begun() -> list[float]:
    x = [0.0] * bank.ROW
    bank.begin(x, 0, 100.0, 0.02, 0.02)
    x[bank.WALL] = 20.0
    return x


def step(x: list[float], air: float, pit_c: float, still: bool = False) -> float:
    bank.predict(x, 0, LAG, LEAK, DT_S, G * air, Q_FIRE, Q_PIT, Q_DIST)
    return bank.correct(x, 0, pit_c, NOISE, still)


def test_each_step_is_filterpys() -> None:
    """filterpy 2.0.0, KalmanFilter: states and covariance after every predict and update."""
    transition, push, noise = matrices()
    other = filterpy.kalman.KalmanFilter(dim_x=4, dim_z=1, dim_u=1)
    x = begun()
    other.x = np.array(x[:4]).reshape(4, 1)
    other.P = np.array(x[4:20]).reshape(4, 4)
    other.F, other.B, other.Q, other.R = transition, push, noise, np.array([[NOISE]])
    other.H = np.array([[0.0, 0.0, 1.0, 0.0]])
    for air, pit_c in zip(*truth(300, 3), strict=True):
        other.predict(u=np.array([[air]]))
        other.x[2, 0] += LEAK * 20.0
        other.update(np.array([[pit_c]]))
        step(x, float(air), float(pit_c))
        assert x[:4] == pytest.approx(other.x[:, 0].tolist(), rel=1e-9, abs=1e-9)
        assert x[4:20] == pytest.approx(other.P.ravel().tolist(), rel=1e-7, abs=1e-12)


def test_normalised_innovations_are_chi_square() -> None:
    """Bar-Shalom, Li and Kirubarajan (2001), 5.4: squares of innovations over their variance, here 8 runs of 200."""
    total, count = 0.0, 0
    for seed in range(8):
        x = begun()
        for air, pit_c in zip(*truth(200, 100 + seed), strict=True):
            bank.predict(x, 0, LAG, LEAK, DT_S, G * float(air), Q_FIRE, Q_PIT, Q_DIST)
            variance = x[bank.STATES + 10] + NOISE
            total += (pit_c - x[bank.T]) ** 2 / variance
            bank.correct(x, 0, float(pit_c), NOISE, False)
            count += 1
    low, high = chi2.ppf([0.001, 0.999], count)
    assert low < total < high


def test_weights_are_bayes_rule() -> None:
    """Two models, one sample: the ratio of the weights is that of the normal densities (scipy.stats.norm)."""
    x, costs, out = [0.0] * (2 * bank.ROW), [0.0, 0.0], [0.0, 0.0]
    bank.begin(x, 0, 100.0, 0.02, 0.02)
    bank.begin(x, bank.ROW, 101.0, 0.02, 0.02)
    spread = math.sqrt(x[bank.STATES + 10] + NOISE)
    for j in range(2):
        costs[j] = bank.correct(x, j * bank.ROW, 100.2, NOISE, False)
    bank.weigh(x, 2, costs, 1.0, 1.0)
    bank.weights(x, 2, out)
    expected = norm.pdf(100.2, 100.0, spread) / norm.pdf(100.2, 101.0, spread)
    assert out[0] / out[1] == pytest.approx(expected, rel=1e-9)
    assert sum(out) == pytest.approx(1.0)


def test_a_disturbance_that_stands_is_not_moved() -> None:
    x = begun()
    for air, pit_c in zip(*truth(50, 9), strict=True):
        step(x, float(air), float(pit_c) + 3.0, still=True)
        assert x[bank.D] == 0.0


@pytest.mark.parametrize(("tau_s", "for_s"), [(20.0, 150.0), (80.0, 320.0), (210.0, 840.0)])
def test_the_look_ahead_is_the_differential_equations(tau_s: float, for_s: float) -> None:
    """scipy.integrate.solve_ivp (RK45, 1e-9) on the equations; the law's sixteen steps are within 4 % of the way."""
    x, push = begun(), 0.02
    x[bank.R1], x[bank.R2] = 0.09, 0.07
    m = [tau_s, 1.0, 0.12, LOSS_S, 1e6, for_s, 0.0]

    def slopes(_: float, y: np.ndarray) -> list[float]:
        return [(push - y[0]) / tau_s, (y[0] - y[1]) / tau_s, y[1] - (y[2] - 20.0) / LOSS_S]

    exact = solve_ivp(slopes, (0.0, for_s), [0.09, 0.07, 100.0], rtol=1e-9, atol=1e-9, max_step=for_s / 200.0)
    there_c, most_c = bank.ahead(x, 0, m, 0, push, for_s, 16)
    way_c = float(np.max(exact.y[2])) - 100.0
    assert there_c - exact.y[2, -1] == pytest.approx(0.0, abs=0.04 * way_c)
    assert most_c - 100.0 == pytest.approx(way_c, rel=0.04)


@pytest.mark.parametrize("air", [-0.12, -0.06, 0.0, 0.3, 1.0])
@pytest.mark.parametrize("draught", [0.12, 0.6])
def test_air_counted_from_all_shut_and_back(air: float, draught: float) -> None:
    assert bank.unflow(bank.flow(air, draught), draught) == pytest.approx(air)
    assert bank.flow(bank.SHUT, draught) == pytest.approx(0.0)
