"""The guard alone, second by second, in plain numbers: what it lets through, and what makes it wait.

The bounds stand here a second time on purpose, as in test_boundaries.py.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from emberboard.core import interlocks as ask
from emberboard.core.agreed import Agreed
from emberboard.core.alerts import AlertBook
from emberboard.core.guard import Guard, Over, Verdict
from emberboard.core.lasting import Lasting, OfSixty
from emberboard.core.levels import Levels
from emberboard.core.watch import Watch
from tests.safety.judged import HOUR_S, See

# ---- the word ---------------------------------------------------------------------------------


def test_a_calm_hold_is_given_its_wish():
    see = See().step(1200)
    assert see.book.alerts == {}
    assert (see.verdict.most_duty, see.verdict.damper, see.verdict.reasons) == (1.0, 1.0, [])
    assert see.verdict.of(1200000, 0.37) == 0.37
    assert [see.verdict.under(opening) for opening in (None, 0.0, 0.4)] == [None, 0.0, 0.4]


def test_a_word_is_good_for_its_own_step_only():
    verdict = Verdict()
    assert verdict.of(0, 1.0) == 0.0  # before anything was asked
    see = See().step()
    assert [see.verdict.of(ms, 0.5) for ms in (0, 999, 1000, 1001)] == [0.0, 0.0, 0.5, 0.0]
    see.verdict.begin()
    assert see.verdict.of(1000, 0.5) == 0.0


def test_of_several_reasons_the_narrowest_counts():
    verdict = Verdict()
    verdict.begin()
    verdict.most_duty = 1.0
    verdict.less(0.2, 0.1, "a")
    verdict.less(0.5, 1.0, "b")
    verdict.at_ms = 7
    assert (verdict.of(7, 1.0), verdict.of(7, 0.1), verdict.reasons) == (0.2, 0.1, ["a", "b"])
    assert [verdict.under(opening) for opening in (None, 0.05, 0.9)] == [0.1, 0.05, 0.1]
    verdict.begin()
    verdict.less(0.0, 0.95, "c")
    assert [verdict.under(opening) for opening in (None, 1.0)] == [0.95, 0.95]


@pytest.mark.parametrize("step_ms", [0, -1, -5000])
def test_a_clock_that_stands_or_runs_backward_gives_no_air(step_ms: int):
    see = See().step(30)
    word = see.guard.tick(30000 + step_ms, see.samples(), see.wish, see.agreed)
    assert word.of(30000 + step_ms, 1.0) == 0.0
    assert see.guard.tick(31000, see.samples(), see.wish, see.agreed).of(31000, 1.0) == 1.0


def test_a_very_late_step_counts_as_ten_seconds():
    see = See()
    see.guard.tick(3600000, see.samples(), see.wish, see.agreed)
    assert see.guard._shut.s == ask.ARM_S + 1.0 + 10.0


@pytest.mark.parametrize("mode", ["off", "hold", "drive", "bank"])
def test_an_open_lid_and_the_modes_without_a_fire_mean_no_air(mode: str):
    see = See()
    see.mode = mode
    assert see.step().stop == (mode in ("off", "bank"))
    assert see.verdict.reasons == ([mode] if mode in ("off", "bank") else [])
    see.lid.is_open = True
    assert see.step().stop
    assert (see.verdict.reasons[-1], see.verdict.damper) == ("lid", 1.0)
    see.lid.is_open, see.lid.told = False, True
    assert see.step().stop


def test_only_a_lid_that_is_felt_gets_a_pulse_of_a_fifth_for_six_seconds_every_two_minutes():
    for told in (False, True):
        see = See()
        see.lid.is_open, see.lid.told = True, told
        air = []
        for k in range(600):
            see.lid.open_s = float(k)
            see.step()
            air.append(see.verdict.most_duty)
        assert set(air[:121]) == {0.0}
        assert sum(air) == pytest.approx(0.0 if told else 0.2 * (5 + 3 * 6))
    see.lid.told = False
    see.book.put("board_hot", "pause", 71.0, None, 0)
    see.lid.open_s = 240.0
    assert see.step().stop


@pytest.mark.parametrize("mode", ["off", "hold", "drive", "bank"])
def test_a_pit_without_a_value_pauses_unless_all_is_off(mode: str):
    see = See()
    see.mode, see.pit.fault, see.pit.value_c, see.pit.raw_c = mode, "open", None, None
    see.step()
    assert see.kind("pit_sensor") == ("" if mode == "off" else "pause")
    assert see.stop
    assert see.verdict.damper == (1.0 if mode == "off" else 0.1)
    see.pit.fault = ""
    see.step()
    assert see.stop == (mode in ("off", "bank"))


@pytest.mark.parametrize("whose", ["an order's", "the guard's"])
def test_a_target_or_a_limit_that_changed_by_itself_is_a_trip(whose: str):
    see = See().step()
    assert see.book.alerts == {}
    if whose == "an order's":
        see.agreed.stone_limit_c = 399.0
    else:
        see.guard.lowest_c = 90.0
    see.step()
    assert (see.kind("memory_bad"), see.stop, see.verdict.damper) == ("trip", True, 0.1)


# ---- limits -----------------------------------------------------------------------------------


def over(see: See, pit_c: float) -> See:
    """The next sample jumps there and the means stay."""
    return see.reads(pit_c).step()


@pytest.mark.parametrize(("mode", "limit_c"), [("hold", 160.0), ("drive", 300.0), ("bank", 350.0), ("off", 350.0)])
def test_the_limit_of_each_mode(mode: str, limit_c: float):
    see = See().step(180)
    see.agreed.put("drive_limit_c", 300.0)
    see.mode = mode
    see.at(100.0).step()
    for _ in range(5):
        over(see, limit_c - 0.25)
    assert see.kind("pit_over_limit") == ""
    assert over(see, limit_c).kind("pit_over_limit") == ""
    assert over(see, limit_c).kind("pit_over_limit") == "trip"
    assert (see.stop, see.verdict.damper) == (True, 1.0 if mode == "off" else 0.0)
    assert see.book.alerts["pit_over_limit"].limit == limit_c


def test_six_samples_of_sixty_over_the_limit_are_a_trip_though_never_two_in_a_row():
    see = See().step(180)
    for k in range(5):
        over(see, 400.0)
        over(see, 120.0)
        assert see.kind("pit_over_limit") == "", k
    assert over(see, 400.0).kind("pit_over_limit") == "trip"
    rare = See().step(180)
    for _ in range(40):
        over(rare, 400.0)
        rare.at(120.0).step(11)  # five of sixty
    assert rare.kind("pit_over_limit") == ""


def test_a_missing_sample_is_not_over_and_begins_the_row_anew():
    see = See().step(180)
    over(see, 160.0)
    see.pit.raw_c = None
    see.step()
    assert over(see, 160.0).kind("pit_over_limit") == ""


def test_at_forty_over_the_target_there_is_no_air_within_the_step_and_no_trip():
    see = See()  # no mean of three minutes yet: the trip's limit is the pit's own
    over(see, 159.75)
    assert see.verdict.most_duty == 1.0
    over(see, 160.0)
    assert (see.stop, see.verdict.damper, see.verdict.reasons) == (True, 0.1, ["too_hot"])
    see.at(200.0).step(600)
    assert see.book.alerts == {}
    assert over(see, 159.75).verdict.most_duty == 1.0


def test_while_there_is_no_mean_the_limit_is_the_pits_own():
    see = See()
    see.at(300.0).step(178)
    assert (see.guard.limit_c, see.guard.lowest_c) == (350.0, None)
    see.step(2)
    assert see.guard.limit_c == 330.0


def test_the_limit_comes_down_with_the_pit_and_never_goes_up_with_it():
    see = See()
    see.at(300.0).step(200)
    see.at(250.0).step(1)
    assert see.guard.limit_c == 280.0
    see.at(279.0).step(400)
    assert see.guard.limit_c == 280.0
    see.at(100.0).step(1)
    assert see.guard.limit_c == 160.0


def test_a_lowered_target_keeps_thirty_degrees_over_what_the_pit_was():
    see = See()
    see.target_c = 260.0
    see.at(260.0).step(200)
    assert see.guard.limit_c == 300.0
    see.target_c = 121.0
    see.step()
    assert see.guard.limit_c == 290.0


def test_a_lowered_target_counts_from_the_old_one_where_the_pit_had_been_lower_before():
    """It rose from 100 to its target of 150, and 155: thirty over the old target, not over the cold pit of long ago."""
    see = See()
    see.target_c = 150.0
    see.at(100.0).step(200)
    assert see.guard.limit_c == 190.0
    see.at(155.0).step(200)
    see.target_c = 100.0
    assert see.step(3).guard.limit_c == 180.0
    assert see.book.alerts == {}


def test_lowering_the_target_again_and_again_never_lifts_the_limit():
    see = See().step(200)
    for k in range(400):
        see.target_c = 120.0 - 0.01 * (k + 1)
        see.at(120.0 + 0.09 * k).step(2)
        assert see.guard.limit_c <= 160.0, k
    assert see.at(160.0).step(2).kind("pit_over_limit") == "trip"


def test_a_target_that_comes_in_a_drive_or_with_the_very_first_mean_is_taken_as_it_is():
    see = See()
    see.agreed, see.guard, see.watch = Agreed({}), Guard(see.book), Watch(see.book)
    see.mode = "drive"
    see.reads(200.0).step(200)
    see.target_c = 150.0
    see.step()
    assert (see.guard.lowest_c, see.guard.limit_c) == (200.0, 350.0)
    first = See().at(200.0).step(178)
    first.target_c = 150.0
    assert first.step().guard.lowest_c == 200.0


def test_after_a_drive_the_limit_is_thirty_degrees_over_what_the_pit_was():
    see = See()
    see.agreed.put("drive_limit_c", 300.0)
    see.mode = "drive"
    see.at(290.0).step(200)
    assert see.guard.limit_c == 300.0
    see.mode = "hold"
    see.step()
    assert see.guard.limit_c == 320.0
    see.at(240.0).step()
    assert see.guard.limit_c == 270.0


def test_a_mean_under_an_open_lid_or_of_a_lost_probe_does_not_count():
    for what in ("lid", "probe"):
        see = See()
        see.at(300.0).step(200)
        if what == "lid":
            see.lid.is_open = True
        else:
            see.pit.value_c = None
        see.step()
        see.lid.is_open = False
        see.at(200.0).step(179)
        assert see.guard.limit_c == 330.0, what
        assert see.step(2).guard.limit_c == 230.0


def test_a_higher_target_lifts_the_limit_at_once_and_never_over_the_pits_own():
    see = See().step(200)
    see.target_c = 150.0
    assert see.step().guard.limit_c == 190.0
    see.agreed.put("target_c", 330.0)
    assert see.step().guard.limit_c == 350.0


def test_a_boards_own_limits_hold_inside_their_hard_bounds():
    see = See({"pit_limit_c": 250, "stone_limit_c": 300, "hold_margin_c": 20}).at(100.0).step(200)
    assert see.guard.limit_c == 140.0
    see.stone.raw_c = 300.0
    assert see.step(2).kind("stone_over_limit") == "trip"
    see.mode = "bank"
    assert see.step().guard.limit_c == 250.0
    for wrong in ({"pit_limit_c": 401}, {"stone_limit_c": 401}, {"hold_margin_c": 41}, {"hold_margin_c": None}):
        agreed = See(wrong).agreed
        assert (agreed.pit_limit_c, agreed.stone_limit_c, agreed.hold_margin_c) == (350.0, 400.0, 40.0)


def test_the_stone_has_its_own_limit():
    see = See()
    see.stone.raw_c = 399.75
    assert see.step(5).kind("stone_over_limit") == ""
    see.stone.raw_c = 400.0
    assert see.step(1).kind("stone_over_limit") == ""
    assert see.step(1).kind("stone_over_limit") == "trip"
    assert see.verdict.damper == 0.0


# ---- grease, runaway --------------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["hold", "drive", "bank", "off"])
def test_grease_is_a_rise_that_charcoal_cannot_make(mode: str):
    see = See()
    see.mode = mode
    see.step(200)
    see.age(139.9, 119.1, 119.1).step()  # a 25th of the way: 119.1 to 119.93
    assert see.kind("grease_fire") == ""
    see.guard.levels.calm.s = 178.0
    see.age(140.0, 119.0, 119.0).step()
    assert see.kind("grease_fire") == ""
    see.age(140.0, 119.0, 119.0).step()  # the 180th second after the lid
    burning = mode in ("hold", "drive")
    assert see.kind("grease_fire") == ("trip" if burning else "")
    assert see.verdict.damper == (0.0 if burning else 1.0)


def test_a_probe_that_comes_back_under_a_lid_makes_no_grease_fire_of_its_lowering():
    """The lid is told by a page and the probe was not believed as it went up: nobody felt it."""
    see = See().step(600)
    see.pit.value_c = None
    see.step(30)
    for pit_c in (45.0, 45.0, 70.0, 95.0, 105.0, 110.0):
        see.reads(pit_c).step(5)
    assert see.guard.levels.quick_c - see.guard.levels.slow_c > 30.0
    assert see.kind("grease_fire") == ""


def wild(see: See, seconds: int, over_c: float = 27.0) -> See:
    """A pit that stands so far over its target and a degree and a half over its last three minutes."""
    for _ in range(seconds):
        see.age(120.0 + over_c, 120.0 + over_c, 118.5 + over_c).step()
    return see


def reached() -> See:
    """A hold that has been at its target for ten minutes."""
    return See().step(600)


def test_runaway_is_five_minutes_without_air_and_still_rising():
    see = reached()
    see.asked = 0.0
    assert wild(see, 299).kind("runaway") == ""
    assert wild(see, 1).kind("runaway") == "trip"
    assert (see.verdict.damper, see.stop) == (0.0, True)


@pytest.mark.parametrize("what", ["not so far over", "a puff of air", "not reached", "a drive", "no rise", "lid"])
def test_what_is_no_runaway(what: str):
    see = See().step(598) if what == "not reached" else reached()
    if what == "a drive":
        see.mode = "drive"
    see.asked = 0.0
    wild(see, 200, 24.9)
    if what == "a puff of air":
        see.asked = 0.01
        wild(see, 1)
        see.asked = 0.0
    if what == "lid":
        see.lid.is_open = True
        see.step()
        see.lid.is_open = False
    if what == "no rise":
        see.at(147.0).step(400)
    else:
        wild(see, 299, 24.9 if what == "not so far over" else 27.0)
    assert see.kind("runaway") == ""


def test_another_mode_must_be_reached_anew_and_another_target_must_not():
    for what in ("mode", "target"):
        see = reached()
        if what == "mode":
            see.mode = "drive"
            see.step()
            see.mode = "hold"
        else:
            see.target_c = 119.99
        see.asked = 0.0
        assert wild(see, 300).kind("runaway") == ("" if what == "mode" else "trip")


def test_a_pit_that_comes_down_to_a_lower_target_is_no_runaway_until_it_is_far_over_its_lowest():
    see = reached()
    see.target_c = 60.0
    see.asked = 0.0
    assert wild(see.at(119.0).step(5), 400, -3.0).kind("runaway") == ""
    see.at(95.0).step(5)
    assert wild(see, 60, -15.1).kind("runaway") == ""  # 104.9 is not yet 10 over 95
    assert wild(see, 1, -14.9).kind("runaway") == "trip"


# ---- an answer to full air --------------------------------------------------------------------


def full_air(pit_c: float) -> See:
    """Full air asked for at a pit that does not rise, its probe a little noisy."""
    see = See()
    see.hold.held_once = False
    see.asked = 1.0
    return see.at(pit_c)


@pytest.mark.parametrize(("pit_c", "kind"), [(59.75, "trip"), (60.0, "")])
def test_full_air_for_twelve_minutes_and_a_cold_pit_is_no_fire(pit_c: float, kind: str):
    see = full_air(pit_c).step(719)
    assert see.kind("not_answering") == ""
    see.step()
    assert see.kind("not_answering") == kind
    assert see.stop == bool(kind)
    assert see.verdict.damper == (0.1 if kind else 1.0)


@pytest.mark.parametrize(("fall_c", "kind"), [(1.75, ""), (2.0, "trip")])
def test_a_hot_pit_that_falls_under_full_air_is_a_lost_fire(fall_c: float, kind: str):
    see = full_air(90.0).step(300)
    see.at(90.0 - fall_c).step(420)
    assert see.kind("not_answering") == kind


def test_the_wait_is_from_the_lowest_and_two_degrees_over_it_begin_it_anew():
    """A pit that full air has cooled by thirty degrees and that rises again is a fire that answers."""
    see = full_air(120.0).step(300)
    see.at(90.0).step(400)
    see.at(92.0).step(719)
    assert see.kind("not_answering") == ""
    assert see.step().kind("not_answering") == ""  # it stands, high
    see.at(90.0).step()
    assert see.kind("not_answering") == "trip"
    less = full_air(120.0).step(300)
    less.at(90.0).step(400)
    assert less.at(91.75).step(20).kind("not_answering") == "trip"


@pytest.mark.parametrize("name", ["_shut", "_run"])
def test_it_waits_ten_minutes_after_the_start_and_after_the_lid(name: str):
    see = full_air(40.0)
    setattr(see.guard, name, Lasting(0.0))
    assert see.first_s("not_answering", 2000) == 599 + 720


@pytest.mark.parametrize("what", ["lid", "value", "paused", "air", "acknowledged", "bank"])
def test_what_begins_the_wait_for_an_answer_anew(what: str):
    see = full_air(40.0).step(700)
    if what == "lid":
        see.lid.is_open = True
    elif what == "value":
        see.pit.value_c = None
    elif what == "paused":
        see.book.put("board_hot", "pause", 70.0, None, 0)
    elif what == "air":
        see.asked = 0.5
    elif what == "acknowledged":
        see.agreed.acknowledged()
    else:
        see.mode = "bank"
    see.step(2)
    see.book.over("board_hot")
    see.lid.is_open, see.asked, see.mode = False, 1.0, "hold"
    see.at(40.0).step()
    see.guard._shut.s = see.guard._run.s = HOUR_S
    assert see.step(699).kind("not_answering") == ""
    assert see.step(24).kind("not_answering") == "trip"


@pytest.mark.parametrize("what", ["target", "renewed", "page", "vent"])
def test_no_order_but_those_begins_it_anew(what: str):
    see = full_air(40.0)
    if what == "vent":
        see.mode = "drive"
        see.step()
        see.guard._run.s = HOUR_S
        see.book.acknowledge("all")
        see.guard._unanswered.s = 0.0
        see.now_s = 0
        see.guard._elapsed.step(0)
    for k in range(72):
        if what == "target":
            see.target_c = 120.0 - 0.01 * k
        elif what == "renewed":
            see.mode = "hold"
        else:
            if what == "page":
                see.lid.told = k % 2 == 1
            else:
                see.agreed.vent_top = float(k % 2 == 0)
            see.asked = 0.0 if k % 2 == 1 else 1.0
        see.step(20)
    # What keeps the air away counts neither way.
    assert see.kind("not_answering") == "trip"
    assert see.book.alerts["not_answering"].since_ms == (1420000 if what in ("page", "vent") else 720000)


def weak(see: See) -> See:
    """The first sign: the notice that rests on a model."""
    see.book.put("fuel_out", "notice", 110.0, 120.0, 0)
    return see


def test_the_second_sign_is_a_pit_eight_degrees_lower_five_minutes_later_and_falling():
    see = See()
    weak(see.at(110.0)).step()
    see.age(102.0, 102.0, 103.0).step(298)
    assert see.kind("not_answering") == ""
    assert see.age(102.0, 102.0, 103.0).step().kind("not_answering") == "trip"
    assert (see.stop, see.verdict.damper) == (True, 0.1)


@pytest.mark.parametrize("what", ["less", "rises", "over", "paused", "acknowledged"])
def test_without_a_second_sign_the_notice_takes_nothing_away(what: str):
    see = See()
    weak(see.at(110.0)).step(200)
    if what == "over":
        see.book.over("fuel_out")
    if what == "paused":
        see.book.put("board_hot", "pause", 70.0, None, 0)
    if what == "acknowledged":
        see.agreed.acknowledged()
    low_c, mean_c = {"less": (102.25, 104.0), "rises": (102.0, 102.0)}.get(what, (102.0, 103.0))
    for _ in range(280):
        see.age(low_c, low_c, mean_c).step()
    assert see.kind("not_answering") == ""


# ---- what remembers ---------------------------------------------------------------------------


def test_how_long_and_how_often():
    lasting, often = Lasting(), OfSixty()
    assert [lasting.step(True, 2.0), lasting.step(True, 1.0), lasting.step(False, 1.0)] == [2.0, 3.0, 0.0]
    lasting.step(True, 90000.0)
    assert lasting.s == 86400.0
    assert [often.step(k % 3 == 0) for k in range(60)][-1] == 20
    assert [often.step(False) for _ in range(60)][-1] == 0
    often.step(True)
    often.clear()
    assert [often.n, often.step(False), often.step(True)] == [0, 0, 1]
    assert [often.step(False) for _ in range(58)][-1] == 1
    assert [often.step(False), often.step(False)] == [1, 0]


def test_the_means_are_of_three_seconds_half_a_minute_and_three_minutes():
    levels = Levels()
    assert levels.step(100.0, True, 1.0) is False
    assert (levels.quick_c, levels.slow_c, levels.mean_c, levels.calm_c) == (100.0, 100.0, 100.0, None)
    levels.step(190.0, True, 1.0)
    assert levels.quick_c == pytest.approx(130.0)  # a third of the way
    assert levels.slow_c == pytest.approx(103.6)  # a 25th
    assert levels.mean_c == pytest.approx(101.0)  # a 90th: its mean age is that of 180 s in a row
    assert levels.rise_c() == pytest.approx(2.6)
    levels.step(100.0, True, 200.0)
    assert (levels.quick_c, levels.slow_c, levels.mean_c) == (100.0, 100.0, 100.0)
    levels.step(None, True, 1.0)
    assert (levels.quick_c, levels.slow_c, levels.mean_c) == (None, None, None)
    assert levels.calm_c == 100.0
    levels.step(80.0, True, 1.0)
    assert (levels.quick_c, levels.slow_c, levels.mean_c) == (80.0, 80.0, 80.0)


def test_the_mean_counts_after_three_minutes_and_begins_anew_after_a_lid():
    levels = Levels()
    assert [levels.step(100.0, True, 1.0) for _ in range(180)][-2:] == [False, True]
    levels.step(70.0, False, 1.0)
    assert levels.mean_c == pytest.approx(90.0)  # the quick one
    assert (levels.step(70.0, True, 179.0), levels.calm_c) == (False, 100.0)
    assert levels.step(70.0, True, 1.0) is True
    assert levels.calm_c == pytest.approx(70.0, abs=0.1)


def test_a_fresh_guard_and_one_probe_over_its_limit():
    guard = Guard(AlertBook(print))
    assert (guard.limit_c, guard.lowest_c, guard.verdict.of(0, 1.0)) == (None, None, 0.0)
    one = Over("pit_over_limit")
    assert [one.step(value_c, 100.0) for value_c in (None, 100.0, 99.0, 100.0, 100.0)] == [False] * 4 + [True]


# ---- the blower's tachometer, through the guard ------------------------------------------------


def test_a_stall_is_judged_by_the_drive_there_was_and_not_by_a_wish():
    see = See()
    see.wish.duty, see.out.drive, see.inputs.tach_rpm = 1.0, 0.0, 0.0
    assert see.step(60).kind("blower_fault") == ""
    see.out.drive = 0.3
    assert see.first_s("blower_fault") == 10


def test_the_seconds_of_a_stall_stand_while_an_order_from_afar_keeps_the_air_away():
    for what, first_s in (("page", 4), ("lid", 10), ("nothing", 10)):
        see = See()
        see.out.drive, see.inputs.tach_rpm = 0.3, 0.0
        see.step(6)
        see.out.drive, see.lid.told, see.lid.is_open = 0.0, what == "page", what == "lid"
        see.step(60)
        see.out.drive, see.lid.told, see.lid.is_open = 0.3, False, False
        assert see.first_s("blower_fault") == first_s, what


def test_it_takes_any_object_that_has_the_wish_and_nothing_more_of_the_law():
    see = See()
    wish = SimpleNamespace(duty=1.0)
    word: Any = see.guard.tick(1000, see.samples(), wish, see.agreed)
    assert word.of(1000, 1.0) == 1.0


# ---- how it begins, and what counts as full air -------------------------------------------------


def test_a_guard_begins_without_air_and_with_nothing_counted():
    verdict, guard = Verdict(), Guard(See().book)
    assert (verdict.most_duty, verdict.damper, verdict.reasons, verdict.at_ms) == (0.0, 1.0, [], None)
    assert (guard._reached, guard._held_back, guard._changes) == (False, False, 0)
    assert (guard._low_c, guard._from_c, guard._weak_c) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("what", ["full", "less", "paused", "told"])
def test_a_number_that_stands_is_frozen_only_under_full_air_that_nothing_stops(what: str):
    see = full_air(120.0)
    see.asked = 0.89 if what == "less" else 1.0
    see.lid.told = what == "told"
    if what == "paused":
        see.book.put("board_hot", "pause", 70.0, None, 0)
    see.pit.noise.same_s = HOUR_S
    assert see.step(389).pit.condemned == ""
    assert see.step().pit.condemned == ("frozen" if what == "full" else "")


@pytest.mark.parametrize("what", ["acknowledged", "value"])
def test_a_wait_that_begins_anew_is_a_whole_one(what: str):
    see = full_air(40.0).step(700)
    if what == "acknowledged":
        see.agreed.acknowledged()
    else:
        see.pit.value_c = None
        see.step(2).at(40.0)
    assert see.first_s("not_answering", 800) == 720


def test_what_is_agreed_counts_real_changes_and_a_vent_that_is_half_open():
    agreed = Agreed({})
    assert (agreed.changes, agreed.vent_top, agreed.lid_told) == (0, 0.0, False)
    assert [agreed.enter("drive"), agreed.enter("drive")] == [True, False]
    assert agreed.changes == 1
    agreed.acknowledged()
    assert agreed.changes == 2
    for agreed.vent_top, waits in ((0.0, True), (0.49, True), (0.5, False)):
        assert agreed.waits_for_vent() == waits


def test_a_drive_without_a_stone_or_a_limit_of_its_own_takes_the_stone_before_and_the_boards_limit():
    agreed = Agreed({"pit_limit_c": 330})
    for stone_c, limit_c, taken in (
        (260.0, 300.0, (260.0, 300.0)),
        (None, None, (260.0, 330.0)),
        (280.0, None, (280.0, 330.0)),
    ):
        agreed.drive(stone_c, limit_c)
        assert (agreed.stone_target_c, agreed.drive_limit_c) == taken
        assert not agreed.kept.changed()
