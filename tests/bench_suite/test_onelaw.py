"""The law with a bank of models in the place of the shipped one: same orders, a real PID, no air moved by new gains."""

from __future__ import annotations

import pytest
import simple_pid

from emberdraft.bench.law import bank
from emberdraft.bench.law import foretell as ask
from emberdraft.bench.law.onelaw import OneLaw
from emberdraft.bench.laws import LAWS
from tests.core.cooker import Run


def held(minutes: int = 90) -> Run:
    """The tests' cooker, lit and held at 121 degC by the bank of models."""
    run = Run()
    LAWS["models"](run.controller, {})
    run.hold()
    run.seconds(60 * minutes)
    return run


def test_it_holds_the_tests_cooker() -> None:
    run = held()
    assert run.inputs.pit_c == pytest.approx(121.0, abs=2.0)
    assert not run.controller.alerts
    assert run.controller.hold.held_once


def test_the_terms_shown_are_those_that_made_the_air() -> None:
    """But for what the integral has taken up since, kp dt / ti of a degree or two: below 0.002."""
    out = held().out
    assert out.duty > 0.0
    assert out.p + out.i + out.d + out.ff == pytest.approx(out.duty, abs=2e-3)


@pytest.mark.parametrize("gains", [{"kp": 0.2}, {"kp": 0.02}, {"ti_s": 600.0}, {"td_s": 300.0}, {"b": 0.3}])
def test_new_gains_in_mid_hold_move_the_air_by_a_hundredth_at_most(gains: dict[str, float]) -> None:
    """Two runs of one cooker, the order given to one of them: the very next steps differ by 0.01 of duty at most."""
    changed, same = held(), held()
    run_order = changed.controller.order("gains", gains, changed.now_ms)
    assert run_order == ("", "")
    for run in (changed, same):
        run.seconds(6)
    assert changed.out.duty == pytest.approx(same.out.duty, abs=0.01)


def test_the_pid_inside_is_simple_pids_where_both_coincide() -> None:
    """simple-pid 2.0.1 with the same gains on the same error, no limit reached, integrated before instead of after."""
    law = OneLaw({"kp": 0.05, "ti_s": 1000.0})
    other = simple_pid.PID(0.05, 0.05 / 1000.0, 0.0, setpoint=0.0, sample_time=None)
    for k in range(50):
        missing_c = 2.0 - 0.05 * k
        i = law.pid.i
        ours = law.pid.step(0.0, -missing_c, 5.0, -10.0, 10.0, 0.2)
        theirs = other(-missing_c, dt=5.0)
        assert law.pid.i - i == pytest.approx(0.05 / 1000.0 * missing_c * 5.0)
        assert ours == pytest.approx(0.2 + theirs - (law.pid.i - i))


def test_holding_air_is_what_keeps_each_model_where_it_is() -> None:
    """At the fixed point of the equations r1 = r2 = g v and T' = 0: the pit stays for an hour."""
    law = OneLaw()
    law.start(121.0, 121.0)
    for j in range(law.n):
        b, k = j * bank.ROW, j * bank.MODEL
        v = ask.holds(law.s, law.x, law.m, b, k, 121.0)
        push = law.s[ask.GAIN] * law.m[k + bank.FACTOR] * v
        law.x[b + bank.R1] = law.x[b + bank.R2] = push
        there_c, _ = bank.ahead(law.x, b, law.m, k, push, 3600.0, 16)
        assert there_c == pytest.approx(121.0, abs=0.01)


def test_a_late_answer_makes_long_lags_plausible() -> None:
    """A cold cooker that answers full air after 8 min lags more than one that does after 2."""
    lags_s = []
    for answer_s in (120.0, 480.0):
        law = OneLaw()
        law.start(121.0, 20.0)
        for k in range(200):
            pit_c = 20.0 if k * 5.0 < answer_s else 20.0 + 0.08 * (k * 5.0 - answer_s)
            law.step(121.0, pit_c, 0.0, 5.0)
        lags_s.append(law.lag_s)
    assert lags_s[1] > 2.0 * lags_s[0]


def test_under_an_open_lid_nothing_is_learnt() -> None:
    law = OneLaw()
    law.start(121.0, 119.0)
    for _ in range(100):
        law.step(121.0, 119.0, 0.0, 5.0)
    before = [law.x[j * bank.ROW + bank.D] for j in range(law.n)], list(law.w)
    for _ in range(18):
        law.wait(121.0, 70.0)
    assert ([law.x[j * bank.ROW + bank.D] for j in range(law.n)], list(law.w)) == before
