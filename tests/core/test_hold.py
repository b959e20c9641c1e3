"""The hold law: what it learns, what bounds it, its switches, and the stone's cascade."""

from __future__ import annotations

import itertools

import pytest

from emberboard.core.controller import Controller, Inputs
from emberboard.core.drive import Drive
from emberboard.core.hold import SWITCHES, Hold
from emberboard.core.limiter import LOW, Limiter
from emberboard.core.observer import K_HIGH, K_LOW, NEED_HIGH, NEED_LOW, SCALE_HIGH, Observer
from tests.core.cooker import Cooker, Run


def test_the_observer_finds_the_holding_air_of_its_own_model():
    """Steady at 121 degC on 0.3: need must come to 0.3 / 101 whatever it was at the start."""
    see = Observer()
    see.start(121.0, 0.3)
    for _ in range(4 * 3600):
        see.predict(0.3, 1.0)
        see.correct(121.0, False, 1.0, 1.0)
    assert see.hold_air(121.0) == pytest.approx(0.3, abs=1e-3)
    assert see.m == pytest.approx(0.0, abs=1e-3)


def test_while_flat_out_the_surprise_belongs_to_the_fire():
    see = Observer()
    see.start(20.0, 0.1)
    for k in range(600):
        see.predict(1.0, 1.0)
        see.correct(20.0 + 0.2 * k, True, 1.0, 1.0)
    assert see.x2 > 2.0
    assert (see.m, see.need) == (0.0, Observer().need)


def test_learning_is_bounded_whatever_the_samples_say():
    see = Observer()
    see.start(20.0, 0.0)
    for k in range(5000):
        see.predict(float(k % 2), 1.0)
        see.correct(-40.0 if k % 200 < 100 else 700.0, k % 50 == 0, 1.0, 4.0)
        see.learn_gain(0.9)
        see.set_scale(9.0)
        assert NEED_LOW <= see.need <= NEED_HIGH
        assert K_LOW <= see.k <= K_HIGH
        assert 1.0 <= see.scale <= SCALE_HIGH
        assert 0.0 <= see.x2 <= 3.0


@pytest.mark.parametrize("air", [-9.0, -0.2, 0.0, 0.5, 9.0])
def test_the_limiter_never_lets_out_what_is_outside(air: float):
    limiter = Limiter()
    for held in (False, True):
        for short in (-50.0, 0.0, 50.0):
            limiter.set_cap(held, 0.2, short, 0.0, 1.0, 5.0)
            limiter.set_floor(held, 0.2, 0.1, -0.01, short, 5.0)
            assert LOW <= limiter.hold(air) <= 1.0


def test_before_the_first_hold_the_floor_of_air_is_above_nothing():
    limiter = Limiter()
    limiter.set_floor(False, 0.3, 9.0, 1.0, -50.0, 5.0)
    assert limiter.hold(-1.0) > 0.0


@pytest.mark.parametrize("need", [-0.1, -0.05, -0.001, 0.001, 0.1, 0.3])
def test_after_a_lid_the_air_stays_near_what_holds_whatever_the_error_pulls(need: float):
    limiter, held = Limiter(), need - LOW
    assert limiter.settle(-9.0, need) == pytest.approx(LOW + 0.8 * held)
    assert limiter.settle(0.0, need) == pytest.approx(need)
    most = limiter.settle(9.0, need)
    assert need < most <= LOW + 1.8 * held + 1e-9
    assert most <= max(0.05, 1.8 * need)


def test_a_cooker_that_its_draught_holds_is_given_no_blower_because_of_a_lid():
    assert Limiter().settle(9.0, -0.08) <= 0.0


@pytest.mark.parametrize("need", [-0.1, -0.03, 0.0, 0.05])
def test_below_nothing_a_change_counts_a_quarter_and_nowhere_is_there_a_step(need: float):
    airs = [need + Hold._gently(0.001 * k, need) for k in range(-400, 401)]
    steps = [b - a for a, b in itertools.pairwise(airs)]
    assert max(steps) <= 0.001 + 1e-9
    assert min(steps) == pytest.approx(0.00025)
    below = [b - a for a, b in itertools.pairwise(airs) if b < 0.0]
    assert below == [pytest.approx(0.00025)] * len(below)
    assert need + Hold._gently(0.0, need) == pytest.approx(need)


@pytest.mark.parametrize(("calm_cps", "full"), [(0.01, True), (0.2, False), (None, False)])
def test_full_air_ends_by_the_calm_slope_where_there_is_one(calm_cps: float | None, full: bool):
    """The look ahead is crossed once: a noisy slope crosses it while a fire has hardly caught, and the fire is lost."""
    hold = Hold()
    hold.start(40.0, 20.0)
    hold.step(40.0, 24.0, 0.2, 5.0, calm_cps)
    assert hold.flat_out == full


def test_too_hot_after_a_lid_does_not_make_a_cooker_a_slow_one():
    scales = []
    for lid in (True, False):
        run = Run().hold().seconds(3600)
        run.controller.hold._after_s = 900.0 if lid else 0.0
        run.controller.hold.duty = -1.0
        run.controller.hold._milestones(-6.0)
        scales.append(run.controller.hold.see.scale)
    assert scales[0] == 1.0 < scales[1]


def test_a_cap_that_binds_without_effect_gives_way():
    limiter = Limiter()
    limiter.set_cap(True, 0.1, 10.0, 0.0, 1.0, 5.0)
    first = limiter.cap
    for _ in range(1440):
        limiter.hold(1.0)
        limiter.set_cap(True, 0.1, 10.0, 0.0, 1.0, 5.0)
    assert first < 0.5
    assert limiter.cap == 1.0


@pytest.mark.parametrize("name", SWITCHES)
def test_each_part_can_be_switched_off_for_the_bench_and_the_rest_still_holds(name: str):
    run = Run()
    run.controller = Controller(2, {name: False})
    run.hold().seconds(2 * 3600)
    assert abs(run.cooker.pit_c - 121.0) < 15.0


def test_the_plain_pid_is_the_textbook_one():
    """With the observer off the terms are those of pid.py, integral by back-calculation."""
    hold = Hold({"observer": False, "coast": False})
    hold.start(121.0, 119.0)
    for _ in range(100):
        hold.step(121.0, 119.0, 0.0, 5.0)
    assert hold.ref_c == 121.0
    assert hold.pid.p == pytest.approx(hold.pid.kp * 2.0)


def test_a_change_of_target_in_mid_hold_does_not_bump_the_air():
    run = Run().hold().seconds(2 * 3600)
    before = run.out.duty
    run.order("target", target_c=122.0, at_cooker=True)
    run.seconds(6)
    assert run.out.duty == pytest.approx(before, abs=0.06)


def test_the_stone_is_driven_to_its_target_and_held():
    run = Run(Cooker(121.0, 0.2)).hold().seconds(3600)
    run.order("vent", vent="top", opening=1.0)
    order = {"mode": "drive", "phase": "climb", "stone_c": 230.0, "longest_s": 10800.0, "at_cooker": True}
    assert run.order("mode", **order) == ("", "")
    highest = 0.0
    for _ in range(3600):
        run.seconds(1)
        highest = max(highest, run.cooker.stone_c)
    run.seconds(5400)
    assert highest < 245.0
    assert run.cooker.stone_c == pytest.approx(230.0, abs=5.0)
    assert not run.controller.alerts


@pytest.mark.parametrize(("quick", "again"), [(1.0, True), (0.5, False)])
def test_a_stone_that_stops_short_gets_full_air_again_and_where_the_pit_follows_at_once_the_cascade_does(
    quick: float, again: bool
):
    drive = Drive(Hold())
    drive.hold.trust.quick = quick
    drive.stone_c, drive._cut_c, drive._cut_rate = 252.0, 248.0, 0.2
    for _ in range(24):
        said = drive._stops_short(8.0, 0.0, 5.0)
        if said:
            break
    assert said == again


def test_the_pit_stays_below_its_limit_while_the_stone_is_driven():
    run = Run(Cooker(121.0, 0.2)).hold().seconds(600)
    run.order("vent", vent="top", opening=1.0)
    run.order("mode", mode="drive", phase="climb", stone_c=380.0, pit_limit_c=220.0, longest_s=7200.0, at_cooker=True)
    run.seconds(7000)
    assert not run.controller.alerts
    assert run.cooker.pit_c > 150.0


def test_nothing_grows_over_a_day():
    run = Run().hold().seconds(3600)
    sizes = (len(run.controller.alerts), len(run.out.estimate), len(vars(run.controller)))
    run.seconds(3 * 3600)
    assert len(run.controller.events) <= 16
    assert (len(run.controller.alerts), len(run.out.estimate), len(vars(run.controller))) == sizes


def test_a_gap_in_the_ticks_is_no_leap():
    controller, inputs = Controller(1), Inputs(1)
    inputs.pit_c = 120.0
    controller.order("mode", {"mode": "hold", "target_c": 121.0, "at_cooker": True}, 0)
    for k in range(60):
        controller.tick(k * 1000, inputs)
    before = controller.out.duty
    out = controller.tick(10_000_000, inputs)
    assert out.duty == pytest.approx(before, abs=0.1)
    assert controller.tick(5_000, inputs).duty == out.duty


@pytest.mark.parametrize(
    "bad", [{"kp": "x"}, {"kp": 9.0, "gain": -1.0}, {"need": float("nan"), "scale": 99.0, "ti_s": None}]
)
def test_settings_out_of_bounds_are_left_at_their_defaults(bad: dict):
    assert Controller(1, bad).tuning() == Controller(1).tuning()


def test_what_was_learnt_can_be_handed_to_the_next_start():
    run = Run().hold().seconds(2 * 3600)
    learnt = run.controller.tuning()
    assert Controller(1, learnt).tuning() == learnt


def test_from_climb_to_sear_the_air_goes_on_as_it_was():
    run = Run(Cooker(121.0, 0.2)).hold().seconds(3600)
    run.order("vent", vent="top", opening=1.0)
    order = {"mode": "drive", "stone_c": 230.0, "longest_s": 10800.0, "at_cooker": True}
    run.order("mode", phase="climb", **order)
    run.seconds(5400)
    before = run.out.duty
    run.order("mode", phase="sear", **order)
    run.seconds(10)
    assert run.out.duty == pytest.approx(before, abs=0.05)
    assert run.out.phase == "sear"
