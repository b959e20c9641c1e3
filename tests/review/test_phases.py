"""Figures of a phase on traces made of straight lines."""

from __future__ import annotations

import pytest

from emberdraft.review.phases import phase_figures
from tests.review.making import START_S, columns, line, phase


def test_a_rise_an_overshoot_and_a_hold() -> None:
    # 100 s from 20 to 120, on to 125 in 10 s, back in 10 s, then 880 s on target.
    pit = line(20.0, 120.0, 100) + line(120.0, 125.0, 10) + line(125.0, 120.0, 10) + [120.0] * 880
    figures = phase_figures(columns(pit), phase("light", 0, 1000))
    assert figures["duration_s"] == 1000.0
    assert figures["overshoot_c"] == 5.0
    # Out of the band above 123, that is from 6 s past 100 to 4 s past 110: in again at 114.
    assert figures["time_to_target_s"] == 114.0
    # In the band: 97..106 (10 readings; 117.0 and 123.0 are in) and 114..999.
    assert figures["within_3c_share"] == pytest.approx((10 + 886) / 1000)
    assert figures["mean_air_share"] == 0.25
    assert figures["held"] == "pit"


def test_a_target_changed_in_the_middle_is_followed() -> None:
    trace = columns([120.0] * 400 + [130.0] * 400, target_c=[120.0] * 400 + [130.0] * 400)
    figures = phase_figures(trace, phase("slow", 0, 800))
    assert figures["within_3c_share"] == 1.0
    assert figures["target_c"] == 130.0


def test_what_the_board_wants_of_the_stone_is_not_the_target_of_the_phase_that_ends() -> None:
    # Seen: a slow phase at 115 was reviewed as one at 270, since the board drove a second before the climb was written.
    trace = columns([120.0] * 602, target_c=[120.0] * 600 + [270.0] * 2, mode=["hold"] * 600 + ["drive"] * 2)
    figures = phase_figures(trace, phase("slow", 0, 602))
    assert (figures["target_c"], figures["within_3c_share"]) == (120.0, 1.0)


def test_climb_is_judged_by_the_stone_against_the_planned_target() -> None:
    trace = columns([300.0] * 600, stone_c=[*line(120.0, 270.0, 200), *[270.0] * 400], target_c=[350.0] * 600)
    figures = phase_figures(trace, phase("climb", 0, 600, 270.0))
    assert (figures["held"], figures["target_c"], figures["overshoot_c"]) == ("stone", 270.0, 0.0)
    # 3 degC below 270 at 0.75 degC a second is 4 s before 200.
    assert figures["time_to_target_s"] == 196.0


def test_nothing_is_held_while_the_fire_is_put_out() -> None:
    figures = phase_figures(columns(line(300.0, 100.0, 600), duty=[0.0] * 600), phase("bank", 0, 600, None))
    held = ("held", "target_c", "time_to_target_s", "overshoot_c", "within_3c_share", "rms_c")
    assert {figures[name] for name in held} == {None}
    assert figures["mean_air_share"] == 0.0


def test_a_phase_without_readings_has_no_figures() -> None:
    figures = phase_figures(columns([]), phase("slow", 0, 60))
    assert figures["duration_s"] == 60.0
    assert figures["within_3c_share"] is None and figures["mean_air_share"] is None


def test_a_phase_in_force_lasts_to_the_last_reading() -> None:
    figures = phase_figures(columns([120.0] * 30), phase("slow", 10, None))
    assert (figures["start_s"], figures["duration_s"]) == (START_S + 10, 19.0)
