"""A slip of dinner and the moves: said early, too soon as well, each with what it does, and none where none helps."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from emberdraft.evening.going import Evening, outlook
from emberdraft.evening.habits import habits_of
from emberdraft.evening.moves import moves, slip_of
from emberdraft.evening.past import Past
from emberdraft.evening.wanted import Food, Searing, Wanted

HOUR_S = 3600.0
KNOWN = habits_of(())
CHOP = Food("A", "chop", "chop", 57.0, thickness_m=0.04)
NOW_S = 2 * HOUR_S
MOMENTS = {"lit": 0.0, "at_heat": 1800.0, "set_in": HOUR_S, "settled": 1.2 * HOUR_S, "A on": 1.2 * HOUR_S}


def evening(serve_s: float | None, foods: tuple[Food, ...] = (CHOP,), sear: bool = True) -> Evening:
    wanted = Wanted(115.0, foods, sear=Searing(260.0) if sear else None)
    band = (NOW_S + 2400.0, NOW_S + 2700.0, NOW_S + 3100.0)
    return Evening(wanted, Past(NOW_S, MOMENTS, {"A": band}, after_s={"B": 0.0}), serve_s, {"A": 25.0})


def slip_and_moves(serve_s: float | None, foods: tuple[Food, ...] = (CHOP,), sear: bool = True):
    seen = outlook(evening(serve_s, foods, sear), KNOWN)
    slip = slip_of(evening(serve_s, foods, sear), seen)
    return slip, moves(evening(serve_s, foods, sear), seen, slip, KNOWN), seen


def test_without_an_hour_or_in_time_nothing_slips() -> None:
    ready_s = outlook(evening(None), KNOWN).ready_s
    assert slip_and_moves(None)[:2] == ("", [])
    assert slip_and_moves(ready_s[1] + 120.0)[:2] == ("", [])


def test_late_it_offers_a_hotter_pit_and_says_by_how_much() -> None:
    ready_s = outlook(evening(None), KNOWN).ready_s[1]
    slip, found, seen = slip_and_moves(ready_s - 1500.0)
    assert slip == "late" and {move.pit_c for move in found} == {125.0, 135.0}
    assert all(move.outlook.ready_s[1] < seen.ready_s[1] - 180.0 for move in found)
    assert found[0].args == {"target_c": 135.0, "from_now_on": True}


def test_too_soon_is_a_slip_too_and_a_cooler_pit_or_a_later_piece_is_offered() -> None:
    ready_s = outlook(evening(None), KNOWN).ready_s[1]
    slip, found, seen = slip_and_moves(ready_s + 2400.0)
    assert slip == "early" and [move.pit_c for move in found] == [105.0]
    assert found[0].outlook.ready_s[1] > seen.ready_s[1]
    two = (CHOP, replace(CHOP, letter="B"))
    ready_s = outlook(evening(None, two), KNOWN).ready_s[1]
    slip, found, seen = slip_and_moves(ready_s + 2 * HOUR_S, two)
    assert slip == "early" and "put_on_at" in {move.name for move in found}


def test_what_may_wait_hot_is_never_too_soon() -> None:
    shoulder = Food("A", "shoulder", "shoulder", 93.0, mass_kg=2.5)
    ready_s = outlook(evening(None, (shoulder,), sear=False), KNOWN).ready_s[1]
    assert slip_and_moves(ready_s + 2 * HOUR_S, (shoulder,), sear=False)[0] == ""


def test_with_all_out_no_pit_helps() -> None:
    was = evening(NOW_S)
    out = replace(was, past=replace(was.past, moments={**MOMENTS, "A out": NOW_S - 60.0}, outs={}))
    seen = outlook(out, KNOWN)
    assert slip_of(out, seen) == "late" and moves(out, seen, "late", KNOWN) == []


def test_a_slip_that_was_said_does_not_come_and_go() -> None:
    for sure, said, slip in ((0.45, "", "late"), (0.55, "", ""), (0.55, "late", "late"), (0.65, "late", "")):
        seen = replace(outlook(evening(NOW_S + 4 * HOUR_S), KNOWN), sure=sure)
        off = replace(evening(seen.ready_s[1]))
        assert slip_of(off, seen, said) == slip


@pytest.mark.parametrize("cut", ["chop", "shoulder"])
def test_a_renewal_costs_half_a_second_of_processor_time_at_most(cut: str) -> None:
    """The bound of the project; of processor time, so that a busy computer does not count."""
    food = CHOP if cut == "chop" else Food("A", "shoulder", "shoulder", 93.0, mass_kg=2.5)
    waiting = replace(food, letter="B")
    slip_and_moves(NOW_S, (food, waiting))
    began_s = time.thread_time()
    slip, _, _ = slip_and_moves(NOW_S, (food, waiting))
    assert slip == "late" and time.thread_time() - began_s < 0.5
