"""Orders: checked on the board; an illegal one is refused in words and changes nothing."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.cooker import Cooker, Run


def state(run: Run) -> tuple:
    """What an order could have changed."""
    c = run.controller
    return (
        c.mode,
        c.phase,
        c.target_c,
        c.stone_target_c,
        c.tuning(),
        tuple(c.pulls.pull_c),
        c.lid.is_open,
        c.agreed.vent_top,
    )


BAD = [
    ("mode", {"mode": "cook"}),
    ("mode", {"mode": "hold", "target_c": 39.9, "at_cooker": True}),
    ("mode", {"mode": "hold", "target_c": 301.0, "at_cooker": True}),
    ("mode", {"mode": "hold", "target_c": "121", "at_cooker": True}),
    ("mode", {"mode": "hold", "phase": "dinner", "target_c": 121.0, "at_cooker": True}),
    ("mode", {"mode": "drive", "stone_c": 381.0, "at_cooker": True}),
    ("mode", {"mode": "drive", "stone_c": 260.0, "pit_limit_c": 400.5, "at_cooker": True}),
    ("mode", {"mode": "drive", "stone_c": 260.0, "longest_s": 10801.0, "at_cooker": True}),
    ("target", {"target_c": math.nan}),
    ("target", {}),
    ("gains", {"kp": -0.01}),
    ("gains", {"ti_s": 1.0}),
    ("gains", {"b": 1.1}),
    ("lid", {"open": 1}),
    ("vent", {"vent": "side", "opening": 0.5}),
    ("vent", {"vent": "top", "opening": 1.01}),
    ("pieces", {"pull_c": [57.0, 57.0, 57.0]}),
    ("pieces", {"pull_c": [300.0]}),
    ("pieces", {"pull_c": 57.0}),
    ("pulled", {"index": 2}),
    ("pulled", {"index": "0"}),
    ("sing", {}),
    ("mode", None),
]


@pytest.mark.parametrize(("name", "args"), BAD)
def test_an_order_out_of_range_is_refused_in_words_and_changes_nothing(name: str, args: dict):
    run = Run(Cooker(110.0)).hold(110.0).seconds(5)
    before = state(run)
    code, text = run.controller.order(name, args, run.now_ms)
    assert code == "out_of_range"
    assert text
    assert state(run) == before


def test_raising_heat_needs_somebody_there_and_lowering_does_not():
    run = Run(Cooker(110.0)).hold(110.0).seconds(5)
    assert run.order("target", target_c=120.0)[0] == "not_now"
    assert run.order("mode", mode="drive", stone_c=260.0)[0] == "not_now"
    assert run.order("target", target_c=120.0, at_cooker=True) == ("", "")
    assert run.order("target", target_c=100.0) == ("", "")
    assert run.order("mode", mode="bank") == ("", "")
    assert run.order("mode", mode="hold", target_c=90.0)[0] == "not_now"


def held() -> Run:
    return Run(Cooker(110.0)).hold(110.0).seconds(5)


def driven(longest_s: float = 600.0) -> Run:
    run = Run(Cooker(110.0)).seconds(5)
    order = {"mode": "drive", "stone_c": 260.0, "pit_limit_c": 250.0, "longest_s": longest_s, "at_cooker": True}
    assert run.order("mode", **order) == ("", "")
    return run.seconds(5)


def driven_out() -> Run:
    run = driven(60.0).seconds(60)
    assert run.out.why == "drive_over"
    return run


def ordered(mode: str) -> Run:
    run = held()
    assert run.order("mode", mode=mode) == ("", "")
    return run.seconds(1)


def acknowledged() -> Run:
    """Full air for twelve minutes on a fire that is out: a trip, and a person far away who has seen it."""
    run = Run(Cooker(30.0, fire=0.0))
    run.cooker.fuel = 0.0
    run.hold(110.0).seconds(1800)
    assert run.alert("not_answering") == "trip"
    assert run.order("acknowledge", id="all") == ("", "")
    return run.seconds(1)


# In force -> the hottest hold, degC, that may be ordered without anybody there; None: none at all.
IN_FORCE = {held: 110.0, driven: 250.0, driven_out: None, acknowledged: None}
IN_FORCE |= {lambda: ordered("off"): None, lambda: ordered("bank"): None, lambda: Run(Cooker(110.0)).seconds(5): None}


@pytest.mark.parametrize(("state", "agreed_c"), list(IN_FORCE.items()))
def test_air_from_nothing_or_above_what_was_agreed_needs_somebody_there(state, agreed_c):
    """A drive that had run out used to take a hold at 300 from anywhere, and to give it full air."""
    for target_c in (40.0, 110.0, 110.1, 250.0, 250.1, 300.0):
        run = state()
        free = agreed_c is not None and target_c <= agreed_c
        assert (run.order("mode", mode="hold", target_c=target_c) == ("", "")) == free
        if not free:
            assert run.seconds(5).out.duty == 0.0 or agreed_c is not None
            assert run.order("mode", mode="hold", target_c=target_c, at_cooker=True) == ("", "")
    for stone_c in (100.0, 260.0):
        run = state()
        assert run.order("mode", mode="drive", stone_c=stone_c)[0] == "not_now"
    run = state()
    assert (run.order("mode", mode="hold")[0] == "") == (run.controller.target_c is not None and agreed_c is not None)
    for mode in ("bank", "off"):
        assert state().order("mode", mode=mode) == ("", "")


def test_a_trip_that_was_seen_from_far_away_gives_no_air():
    """The blower used to start again, at full air, with the acknowledgement."""
    run = acknowledged()
    assert (run.out.mode, run.controller.alerts) == ("off", {})
    assert run.seconds(600).out.duty == 0.0


def test_a_press_of_a_later_clock_is_no_press_for_ever():
    run = Run(Cooker(110.0)).seconds(1000, lid_button=True)
    early = {"mode": "hold", "target_c": 120.0}
    assert run.controller.order("mode", early, 600_000)[0] == "not_now"
    assert run.controller.order("mode", early, 800_000) == ("", "")


def test_a_press_counts_for_five_minutes():
    run = Run(Cooker(110.0)).seconds(1, lid_button=True).seconds(1, lid_button=True)
    run.seconds(298)
    assert run.order("mode", mode="hold", target_c=120.0) == ("", "")
    run.seconds(5)
    assert run.order("target", target_c=130.0)[0] == "not_now"


def test_gains_change_without_a_bump_in_the_air():
    run = Run().hold().seconds(5400)
    before = run.out.duty
    assert run.order("gains", kp=0.02, ti_s=1200.0, td_s=60.0, b=0.3) == ("", "")
    run.seconds(1)
    assert run.out.duty == pytest.approx(before, abs=0.02)
    assert run.controller.tuning()["kp"] == 0.02


NAMES = st.one_of(
    st.sampled_from(["mode", "target", "gains", "relay", "lid", "vent", "pieces", "pulled", "acknowledge"]),
    st.text(max_size=5),
)
KEYS = ["mode", "phase", "target_c", "stone_c", "pit_limit_c", "longest_s", "at_cooker", "kp", "ti_s", "td_s", "b"]
KEYS += ["open", "vent", "opening", "pull_c", "index", "id", "on"]
WORDS = ["off", "hold", "drive", "bank", "slow", "climb", "top", "all"]
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.sampled_from(WORDS),
    st.text(max_size=4),
    st.lists(st.floats(), max_size=3),
    st.binary(max_size=3),
)
SAMPLES = st.one_of(st.none(), st.floats(), st.floats(0, 400), st.text(max_size=2), st.integers())


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(NAMES, st.dictionaries(st.sampled_from(KEYS), VALUES, max_size=5)), max_size=8),
    st.lists(st.tuples(SAMPLES, st.sampled_from(["", "open", "odd"]), st.integers(-5, 5000)), min_size=1, max_size=30),
)
def test_nothing_that_comes_in_gets_an_exception_or_an_output_out_of_range(orders, samples):
    run = Run(Cooker(110.0)).hold(110.0).seconds(40)
    for name, args in orders:
        assert run.controller.order(name, args, run.now_ms)[0] in ("", "out_of_range", "not_now")
    for raw, fault, step_ms in samples:
        run.now_ms += step_ms - 1000
        run.seconds(1, pit_c=raw, pit_fault=fault, stone_c=raw, core_c=[raw, raw])
        out = run.out
        assert 0.0 <= out.duty <= 1.0 and 0.0 <= out.drive <= 1.0
        assert out.opening is None or 0.0 <= out.opening <= 1.0
        assert len(run.controller.events) <= 16 and len(run.controller.alerts) <= 20
