"""The baselines hold the toy as they should, and their gains follow the published rules."""

from __future__ import annotations

import numpy as np
import pytest

from emberdraft.bench.baselines import OnOff, simc, ziegler_nichols
from emberdraft.bench.bump import EVERY_S, Model, fit
from emberdraft.bench.cookers import Cooker
from emberdraft.bench.jobs import CONTROLLERS, Job, bump_model, fresh_rig, run_job
from emberdraft.bench.sensors import Sensors
from emberdraft.bench.trace import play

MODEL = Model(gain_c=2.0, tau_s=300.0, delay_s=60.0)


def meas(pit_c: float | None) -> dict[str, object]:
    return {"pit_c": pit_c, "stone_c": None, "core_c": [], "fault": "" if pit_c else "open"}


def test_on_off_has_three_degrees_between_on_and_off() -> None:
    switch = OnOff()
    asked = [switch.update(float(i), meas(c), 121.0, "slow")["blower"] for i, c in enumerate((119.0, 122.4, 122.6))]
    asked += [switch.update(9.0 + i, meas(c), 121.0, "slow")["blower"] for i, c in enumerate((119.6, 119.4))]
    assert asked == [1.0, 1.0, 0.0, 0.0, 1.0]


def test_ziegler_nichols_gains() -> None:
    """The rule of 1942: Kp = 1.2 T/(K L) = 3, Ti = 2 L = 120 s, Td = L/2 = 30 s."""
    pid = ziegler_nichols(MODEL)._pid
    assert (pid.Kp, pid.Ki, pid.Kd) == pytest.approx((3.0, 3.0 / 120.0, 3.0 * 30.0))


def test_simc_gains() -> None:
    """Skogestad 2003, tc = L: Kc = T/(2 K L) = 1.25; Ti = min(T, 8 L) = 300 s."""
    pid = simc(MODEL)._pid
    assert (pid.Kp, pid.Ki, pid.Kd) == pytest.approx((1.25, 1.25 / 300.0, 0.0))


def test_a_blind_baseline_keeps_its_air() -> None:
    pid = simc(Model(500.0, 1000.0, 60.0))
    before = pid.update(0.0, meas(115.0), 121.0, "slow")["blower"]
    assert pid.update(1.0, meas(None), 121.0, "slow")["blower"] == before


def test_the_fit_finds_a_first_order_model_in_noise() -> None:
    """A made response: 180 degC per unit, 700 s, 90 s, noise 0.1 degC, level at 121 degC before."""
    noise = np.random.default_rng(1).normal(0.0, 0.1, 600)
    time_s = EVERY_S * (np.arange(270) + 0.5)
    rise_c = 0.15 * 180.0 * np.where(time_s > 90.0, 1.0 - np.exp(-(time_s - 90.0) / 700.0), 0.0)
    model = fit(121.0 + noise[:150], 121.0 + rise_c + noise[150:420], 0.15)
    assert model.gain_c == pytest.approx(180.0, rel=0.1)
    assert model.tau_s == pytest.approx(700.0, rel=0.15)
    assert model.delay_s == pytest.approx(90.0, rel=0.25)


def test_the_bump_test_is_kept_on_disk(toy: Cooker, own_cache: object) -> None:
    first = bump_model(toy, 1)
    assert bump_model(toy, 1) == first
    assert first.gain_c > 100.0


def late_mean_c(name: str, toy: Cooker) -> float:
    """The true pit's mean over the last half hour of the hold story."""
    trace = play(CONTROLLERS[name](Job(name, toy, "hold", 1)), fresh_rig(toy, "hold", 1), Sensors(1))
    return sum(trace.pit_c[-1800:]) / 1800.0


@pytest.mark.parametrize(("name", "within_c"), [("onoff", 9.0), ("pid-simc", 3.0)])
def test_on_off_and_simc_bring_the_toy_to_its_target(name: str, within_c: float, toy: Cooker) -> None:
    assert late_mean_c(name, toy) == pytest.approx(121.0, abs=within_c)


def test_the_raw_derivative_of_ziegler_nichols_becomes_a_steady_offset(toy: Cooker) -> None:
    """Noise in quarter degrees, differentiated and clipped at no air, can only add air: it holds too hot."""
    assert late_mean_c("pid-zn", toy) > 124.0


def test_what_a_cooker_cannot_do_is_a_result(toy: Cooker) -> None:
    result = run_job(Job("onoff", toy, "refuel", 1))
    assert result.not_possible
    assert "add_fuel" in result.problem
