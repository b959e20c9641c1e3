"""An evening that is going on: what is known replaces what was drawn; a change moves dinner in the same evenings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from emberdraft.evening.bodies import left_s
from emberdraft.evening.draws import draw, live
from emberdraft.evening.going import Evening, after, on_for_dinner, outlook
from emberdraft.evening.habits import habits_of
from emberdraft.evening.past import Past, spread
from emberdraft.evening.wanted import Food, Searing, Wanted

HOUR_S = 3600.0
CHOP = Food("A", "chop", "chop", 57.0, thickness_m=0.04)
WANTED = Wanted(pit_c=115.0, foods=(CHOP, replace(CHOP, letter="B")), sear=Searing(260.0))
KNOWN = habits_of(())


def evening(now_s: float = 0.0, wanted: Wanted = WANTED, **past: object) -> Evening:
    return Evening(wanted, Past(now_s=now_s, **past), None, {})


def cooking(**changes: object) -> Evening:
    """Two hours in: A is in, and by its forecast there in half an hour; B waits."""
    now_s = 2 * HOUR_S
    moments = {"lit": 0.0, "at_heat": 0.5 * HOUR_S, "set_in": HOUR_S, "settled": 1.2 * HOUR_S, "A on": 1.2 * HOUR_S}
    band = (now_s + 1500.0, now_s + 1800.0, now_s + 2200.0)
    past = Past(now_s=now_s, moments=moments, outs={"A": band}, after_s={"B": HOUR_S})
    return replace(Evening(WANTED, past, None, {"A": 30.0}), **changes)  # type: ignore[arg-type]


def test_before_anything_has_been_it_is_the_evening_from_lighting() -> None:
    lived = live(WANTED, draw(WANTED, KNOWN, 0, 150), 0.0)
    assert outlook(evening(), KNOWN).ready_s[1] == pytest.approx(float(np.median(lived.ready)), rel=0.02)


def test_nothing_that_is_to_come_lies_in_the_past_and_what_has_been_stays() -> None:
    for hours in (0.5, 1.0, 2.0, 4.0, 9.0):
        seen = outlook(evening(hours * HOUR_S, moments={"lit": 0.0}), KNOWN)
        assert all(band[0] >= hours * HOUR_S for _, band in seen.steps)
    steps = dict(outlook(cooking(), KNOWN).steps)
    assert steps["A on"] == (1.2 * HOUR_S,) * 3


def test_the_band_narrows_as_the_evening_goes_on() -> None:
    def wide(seen: Evening) -> float:
        low, _, high = outlook(seen, KNOWN).ready_s
        return high - low

    moments = dict(cooking().past.moments) | {"B on": 1.2 * HOUR_S, "A out": 2.4 * HOUR_S, "B out": 2.5 * HOUR_S}
    late = evening(2.6 * HOUR_S, moments=moments)
    assert wide(late) < wide(cooking()) < wide(evening())


def test_a_forecast_counts_as_it_is_said() -> None:
    """By hand: of normal logs on either side of the middle a tenth lies below and a tenth above the band."""
    drawn = spread((100.0, 200.0, 500.0), 0.0, np.random.default_rng(0).standard_normal(20000))
    assert np.quantile(drawn, (0.1, 0.5, 0.9)) == pytest.approx([100.0, 200.0, 500.0], rel=0.05)


def test_a_hotter_pit_and_a_lower_pull_bring_dinner_nearer_and_a_piece_that_is_done_now_is_done() -> None:
    was = cooking()
    ready_s = outlook(was, KNOWN).ready_s[1]
    alone = replace(WANTED, foods=(CHOP,))
    was = replace(was, wanted=alone)
    ready_s = outlook(was, KNOWN).ready_s[1]
    hotter = after(was, replace(was, wanted=replace(alone, pit_c=125.0)))
    lower = after(was, replace(was, wanted=replace(alone, foods=(replace(CHOP, pull_c=50.0),))))
    done = after(was, replace(was, wanted=replace(alone, foods=(replace(CHOP, pull_c=25.0),))))
    assert ready_s - 1200.0 < outlook(hotter, KNOWN).ready_s[1] < ready_s - 60.0
    assert outlook(lower, KNOWN).ready_s[1] < ready_s - 120.0
    assert done.past.outs["A"] == (was.past.now_s,) * 3
    assert after(was, was).past.outs == was.past.outs


def test_what_is_left_falls_with_the_core_and_rises_with_the_pull() -> None:
    assert left_s(CHOP, 115.0, 20.0) > left_s(CHOP, 115.0, 40.0) > left_s(CHOP, 115.0, 56.0) > 0.0
    assert left_s(CHOP, 115.0, 40.0) < left_s(replace(CHOP, pull_c=63.0), 115.0, 40.0)
    assert left_s(CHOP, 115.0, 60.0) == 0.0


def test_a_piece_that_waits_goes_on_so_that_dinner_is_at_its_hour() -> None:
    was = replace(cooking(), serve_s=9 * HOUR_S)
    on = on_for_dinner(was, KNOWN)
    assert set(on) == {"B"}
    then = replace(was, past=replace(was.past, on_s=on))
    low, _, high = outlook(then, KNOWN).ready_s
    assert low < 9 * HOUR_S < high + 1800.0
    assert on_for_dinner(replace(was, serve_s=None), KNOWN) == {}
    assert on_for_dinner(replace(was, serve_s=was.past.now_s + 60.0), KNOWN) == {"B": was.past.now_s}
