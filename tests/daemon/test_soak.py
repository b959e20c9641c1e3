"""The soak is judged by time at temperature and by the air that no longer falls."""

from __future__ import annotations

from emberdraft.daemon import soak
from emberdraft.daemon.plan_form import Seconds, Soak
from emberdraft.daemon.run import SoakRun

PLAN = Soak(least_s=Seconds(900.0), longest_s=Seconds(2400.0))


def soaked(duty_at, minutes, pit_c=115.0, lid_open=False):
    run = SoakRun()
    for second in range(60 * minutes + 1):
        soak.watch(run, float(second), pit_c, 115.0, duty_at(second / 60.0), lid_open)
    return run


def test_steady_air_for_the_least_time_is_soaked():
    # 15 to 20 min at temperature: common practice, no source.
    assert soak.verdict(soaked(lambda m: 0.3, 15), PLAN, 900.0) == "soaked"
    assert soak.verdict(soaked(lambda m: 0.3, 14), PLAN, 840.0) == ""


def test_air_that_still_falls_means_that_the_walls_still_take_heat():
    run = soaked(lambda m: 0.6 - 0.02 * m, 20)
    assert soak.verdict(run, PLAN, 1200.0) == ""
    assert soak.verdict(run, PLAN, 2400.0) == "cut"


def test_air_that_rises_for_wind_does_not_hold_the_soak_up():
    assert soak.verdict(soaked(lambda m: 0.2 + 0.005 * m, 20), PLAN, 1200.0) == "soaked"


def test_time_away_from_the_target_or_under_an_open_lid_does_not_count():
    assert soaked(lambda m: 0.3, 20, pit_c=105.0).at_heat_s == 0.0
    assert soaked(lambda m: 0.3, 20, lid_open=True).at_heat_s == 0.0
    assert soaked(lambda m: 0.3, 20, pit_c=None).at_heat_s == 0.0


def test_a_gap_in_the_readings_is_not_an_hour_of_soak():
    run = soaked(lambda m: 0.3, 1)
    soak.watch(run, 3700.0, 115.0, 115.0, 0.3, False)
    assert run.at_heat_s == 70.0
