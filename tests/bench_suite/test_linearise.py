"""The linear model of a cooker is that of its own equations."""

from __future__ import annotations

import numpy as np
import pytest

from emberdraft.bench.baselines import SimplePid
from emberdraft.bench.cookers import Cooker
from emberdraft.bench.linearise import EVERY_S, WATCH_S, linear_model, step_response
from emberdraft.bench.listen import listen
from emberdraft.bench.margins import Pid
from emberdraft.bench.rig import Rig
from emberdraft.bench.scenarios import Scenario, Step


def test_a_made_response_is_found_again() -> None:
    """Quick 20 degC at 25 s, slow 300 degC with lags of 240 and 4000 s, 60 s late: the response at 1/300 rad/s."""
    late_s = np.maximum(EVERY_S * (np.arange(WATCH_S // EVERY_S) + 1.0) - 60.0, 0.0)
    slow = 1.0 - (4000.0 * np.exp(-late_s / 4000.0) - 240.0 * np.exp(-late_s / 240.0)) / (4000.0 - 240.0)
    model = linear_model(20.0 * (1.0 - np.exp(-late_s / 25.0)) + 300.0 * slow, 0.0)
    s = 1j / 300.0
    wanted = np.exp(-60.0 * s) * (20.0 / (25.0 * s + 1.0) + 300.0 / ((240.0 * s + 1.0) * (4000.0 * s + 1.0)))
    assert model(np.array([1.0 / 300.0]))[0] == pytest.approx(wanted, rel=1e-6)


def test_a_pid_is_heard_as_its_own_gains() -> None:
    """simple-pid with kp 0.02 per degC and ti 600 s, listened to, against kp (1 + 1/(s ti)) at 1/200 rad/s."""
    pid = SimplePid(0.02, 600.0, 0.0)
    for second in range(900):
        pid.update(float(second), {"pit_c": 119.0, "stone_c": None, "fault": ""}, 121.0, "slow")
    heard = listen(pid, 900.0, 121.0, 100.0, 121.0)
    w = np.array([1.0 / 200.0])
    assert heard(w)[0] == pytest.approx(Pid(0.02, 600.0)(w)[0], rel=0.01)


def test_the_toy_is_seen_as_its_own_two_lags(toy: Cooker) -> None:
    """Fire 240 s, body 1500 s / 1.03 of loss, 0.9 * 500 / 1.03 degC per unit of blower (its own equations)."""
    rig = Rig(toy.build(1), Scenario("s", "", 9e9, (Step(0.0, "order", ("slow", 121.0)),), "hold"), 1)
    for _ in range(600):
        rig.advance(5.0, 0.2, 1.0)
    model = linear_model(step_response(rig, 0.2, 1.0), 0.0)
    s = 1j / 500.0
    wanted = 0.9 * 500.0 / 1.03 / ((240.0 * s + 1.0) * (1500.0 / 1.03 * s + 1.0))
    assert abs(model(np.array([1.0 / 500.0]))[0]) == pytest.approx(abs(wanted), rel=0.05)
