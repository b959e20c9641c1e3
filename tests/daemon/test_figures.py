"""The figures of a rehearsal, on temperatures made by hand."""

from __future__ import annotations

from types import SimpleNamespace

from emberdraft.daemon.figures import PhaseFigures


def phase(name, target_c, values, duty=0.5):
    made = PhaseFigures(name, 100.0, target_c)
    for second, value in enumerate(values):
        made.second(101.0 + second, value, duty)
    return SimpleNamespace(**made.row())


def test_time_to_target_counts_from_the_phase_to_three_degrees_below():
    # 50, 51, ... degC: 112 degC, 3 below the target, is the 63rd second.
    row = phase("light", 115.0, [50.0 + t for t in range(80)])
    assert row.time_to_target_s == 63
    assert row.overshoot_c == 14.0
    assert row.duration_s == 80


def test_the_share_near_the_target_is_by_seconds_within_three_degrees():
    row = phase("slow", 115.0, [112.0, 118.0, 111.9, 118.1])
    assert row.within_3c_share == 0.5


def test_seconds_without_a_value_count_as_time_and_not_as_near():
    row = phase("slow", 115.0, [115.0, None, None, 115.0])
    assert (row.duration_s, row.within_3c_share, row.highest_c) == (4, 0.5, 115.0)


def test_a_phase_without_a_target_has_no_figures_of_one():
    row = phase("bank", None, [150.0, 140.0], duty=0.0)
    assert (row.overshoot_c, row.time_to_target_s, row.within_3c_share) == (None, None, None)
    assert row.mean_air_share == 0.0


def test_climb_and_sear_are_judged_by_the_stone():
    assert phase("climb", 270.0, [260.0]).held == "stone"
    assert phase("slow", 115.0, [115.0]).held == "pit"
