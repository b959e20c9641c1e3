"""Lid lifts and disturbances found in a trace made of straight lines."""

from __future__ import annotations

import pytest

from emberdraft.review.columns import Columns
from emberdraft.review.found import disturbances, lid_lifts
from tests.review.making import START_S, columns, line, phase

SLOW = [phase("slow", 0, 4000)]


def _lifted() -> Columns:
    """Open 100..160: 120 down to 60; 5 degC a second up from 170 on; to 127 and back to 120."""
    pit = [120.0] * 100 + line(120.0, 60.0, 60) + [60.0] * 10 + line(60.0, 127.0, 134) + line(127.0, 120.0, 70)
    pit += [120.0] * (3000 - len(pit))
    return columns(pit, lid_open=[int(100 <= k < 160) for k in range(3000)])


def test_a_lift_is_measured() -> None:
    (lift,) = lid_lifts(_lifted(), SLOW)
    assert (lift["at_s"], lift["open_s"], lift["phase"]) == (START_S + 100, 60.0, "slow")
    assert lift["drop_c"] == 60.0
    # From 170 on half a degree a second: 117, the lower edge of the band, 114 s later; the lid was shut at 160.
    assert lift["recovery_s"] == 124.0
    assert lift["rebound_c"] == pytest.approx(7.0, abs=0.6)


def test_a_flicker_of_the_lid_is_one_lift() -> None:
    trace = _lifted()
    trace["lid_open"][130] = trace["lid_open"][131] = 0
    assert [lift["open_s"] for lift in lid_lifts(trace, SLOW)] == [60.0]


def test_two_lifts_share_nothing() -> None:
    trace = _lifted()
    for k in range(1000, 1030):
        trace["lid_open"][k] = 1
    first, second = lid_lifts(trace, SLOW)
    assert (second["at_s"], second["open_s"], second["drop_c"]) == (START_S + 1000, 30.0, 0.0)
    assert second["recovery_s"] == 0.0
    assert first["recovery_s"] == 124.0


def test_a_lid_still_open_has_no_length_and_no_recovery() -> None:
    trace = columns(line(120.0, 60.0, 60), lid_open=[0] * 10 + [1] * 50)
    (lift,) = lid_lifts(trace, [phase("slow", 0, None)])
    assert (lift["open_s"], lift["recovery_s"], lift["rebound_c"]) == (None, None, None)
    assert lift["drop_c"] == pytest.approx(49.0)


def test_a_lift_in_sear_has_a_drop_but_nothing_to_come_back_to() -> None:
    (lift,) = lid_lifts(_lifted(), [phase("sear", 0, 4000, 270.0)])
    assert (lift["drop_c"], lift["recovery_s"], lift["rebound_c"]) == (60.0, None, None)


def test_no_lift_in_a_shut_cook() -> None:
    assert lid_lifts(columns([120.0] * 100), SLOW) == []
    assert lid_lifts(columns([]), []) == []


def test_a_disturbance_without_a_lid_is_found_and_measured() -> None:
    pit = [120.0] * 500 + line(120.0, 110.0, 100) + line(110.0, 120.0, 100) + [120.0] * 500
    (found,) = disturbances(columns(pit), SLOW, [])
    # Below 117 from 31 s into the fall to 69 s into the rise, a reading each second.
    assert found["at_s"] == START_S + 531
    assert found["duration_s"] == pytest.approx(138.0)
    assert (found["worst_c"], found["phase"]) == (-10.0, "slow")


def test_the_fire_up_is_no_disturbance() -> None:
    assert disturbances(columns(line(20.0, 120.0, 600) + [120.0] * 600), SLOW, []) == []


def test_what_a_lid_did_is_no_disturbance() -> None:
    trace = _lifted()
    assert disturbances(trace, SLOW, lid_lifts(trace, SLOW)) == []
    assert disturbances(trace, SLOW, []) != []


def test_a_short_or_small_excursion_is_no_disturbance() -> None:
    small = [120.0] * 500 + [124.5] * 300 + [120.0] * 500
    short = [120.0] * 500 + [130.0] * 40 + [120.0] * 500
    assert disturbances(columns(small), SLOW, []) == []
    assert disturbances(columns(short), SLOW, []) == []


def test_in_climb_the_pit_is_not_held() -> None:
    pit = [120.0] * 100 + line(120.0, 300.0, 900)
    assert disturbances(columns(pit), [phase("climb", 0, None, 270.0)], []) == []
