"""The world outside the board: the person's acts, probes, motor and wind."""

from __future__ import annotations

import pytest

from emberdraft.errors import UserError
from emberdraft.plant.heavy_ceramic import HeavyCeramic
from emberdraft.plant.motor import Motor
from emberdraft.plant.weather import Wind
from emberdraft.plant.world import World


def world(**settings) -> World:
    return World(HeavyCeramic(seed=1), **settings)


def test_probes_read_the_yard_before_any_time_has_passed():
    start = world(ambient_c=12.0)
    assert start.pit_c == pytest.approx(12.0, abs=0.5)
    assert start.probe_c(0) == pytest.approx(12.0, abs=0.5)


def test_full_air_warms_the_pit_and_the_probe_lags():
    yard = world()
    yard.set_air(1.0, None)
    yard.advance(900.0)
    assert yard.pit_c > 60.0
    assert 0.0 < yard.truth["pit_c"] - yard.pit_c < 3.0


def test_the_same_seed_gives_the_same_world():
    ends = []
    for _ in range(2):
        yard = world(seed=7, wind_mps=4.0)
        yard.set_air(0.6, 1.0)
        yard.advance(600.0)
        ends.append((yard.pit_c, yard.wind_now_mps))
    assert ends[0] == ends[1]


def test_one_long_advance_is_many_short_ones():
    ends = []
    for step_s in (1.0, 60.0):
        yard = world(seed=7)
        yard.set_air(0.6, None)
        for _ in range(int(600 / step_s)):
            yard.advance(step_s)
        ends.append(yard.pit_c)
    assert ends[0] == ends[1]


def test_a_probe_reads_its_piece_until_the_piece_is_taken_off():
    yard = world()
    index = yard.put_on("chop", 0.45, 0.04, 4.0, probe=1)
    yard.advance(60.0)
    assert yard.probe_c(1) == pytest.approx(4.0, abs=1.0)
    assert yard.probe_c(0) == pytest.approx(20.0, abs=1.0)
    yard.take_off(index)
    yard.advance(60.0)
    assert yard.probe_c(1) == pytest.approx(20.0, abs=1.0)


def test_a_probe_kept_in_a_resting_piece_shows_the_carry_over_until_it_is_drawn_out():
    yard = world(noise_c=0.0)
    yard.set_air(1.0, None)
    yard.advance(1500.0)
    index = yard.put_on("chop", 0.45, 0.04, 4.0, probe=0)
    yard.set_air(0.2, None)
    while yard.probe_c(0) < 50.0:
        yard.advance(30.0)
    yard.take_off(index, keep_probe=True)
    yard.advance(300.0)
    assert 50.5 < yard.probe_c(0) < 60.0
    yard.draw_out(0)
    yard.advance(60.0)
    assert yard.probe_c(0) == pytest.approx(20.0, abs=0.5)


def test_a_rested_piece_can_be_seared_with_its_probe_in():
    yard = world(noise_c=0.0)
    index = yard.put_on("chop", 0.45, 0.04, 50.0, probe=0)
    chop = yard.take_off(index, keep_probe=True)
    seared = yard.sear(chop, probe=0)
    yard.advance(5.0)
    assert seared != index
    assert yard.resting == {}
    assert yard.probe_c(0) == pytest.approx(50.0, abs=1.0)


def test_a_rested_piece_is_found_again_by_its_old_number():
    yard = world(noise_c=0.0)
    index = yard.put_on("chop", 0.45, 0.04, 50.0, probe=0)
    yard.take_off(index, keep_probe=True)
    assert yard.sear_rested(index, probe=0) != index
    with pytest.raises(UserError, match=f"no piece {index} is resting"):
        yard.sear_rested(index, probe=0)


def test_a_probe_that_is_not_there_is_refused_before_anything_is_put_on():
    yard = world(n_probes=2)
    with pytest.raises(UserError, match="probe 2 is not one of 0 to 1"):
        yard.put_on("chop", 0.45, 0.04, 4.0, probe=2)
    assert yard.plant.pieces == []


def test_the_lid_lets_the_heat_out():
    yard = world()
    yard.set_air(1.0, None)
    yard.advance(1500.0)
    hot = yard.pit_c
    yard.set_air(0.0, None)
    yard.open_lid()
    yard.advance(60.0)
    assert hot - yard.pit_c > 25.0
    yard.shut_lid()
    yard.advance(120.0)
    assert yard.pit_c > 50.0


def test_a_damper_overrides_the_vent_set_by_hand():
    yard = world()
    yard.set_vent_bottom(1.0)
    yard.set_air(1.0, 0.0)
    yard.advance(5.0)
    shut = yard.truth["airflow_gps"]
    yard.set_air(1.0, None)
    yard.advance(5.0)
    assert yard.truth["airflow_gps"] > shut + 1.0


def test_a_vent_beyond_its_stops_is_refused():
    with pytest.raises(UserError, match="top vent"):
        world().set_vent_top(1.2)


def test_an_unlit_cooker_lights_on_demand():
    yard = World(HeavyCeramic(seed=1, lit_kg=0.0))
    yard.set_air(1.0, None)
    yard.advance(300.0)
    assert yard.truth["heat_w"] < 1.0
    yard.light()
    yard.advance(600.0)
    assert yard.truth["heat_w"] > 1000.0


def test_an_open_probe_has_a_fault_and_no_value_and_can_be_mended():
    yard = world()
    yard.break_probe("pit", "open")
    yard.advance(1.0)
    assert (yard.pit_c, yard.fault("pit")) == (None, "open")
    yard.break_probe("pit", "")
    yard.advance(1.0)
    assert yard.pit_c is not None and yard.fault("pit") == ""


def test_an_offset_probe_lies_and_looks_healthy():
    yard = world(noise_c=0.0)
    yard.advance(1800.0)
    yard.break_probe("pit", "offset", 15.0)
    yard.advance(1.0)
    assert yard.pit_c == pytest.approx(yard.truth["pit_c"] + 15.0, abs=1.0)
    assert yard.fault("pit") == ""


def test_a_frozen_probe_stands_still():
    yard = world()
    yard.set_air(1.0, None)
    yard.advance(300.0)
    yard.break_probe("pit", "frozen")
    still = yard.pit_c
    yard.advance(300.0)
    assert yard.pit_c == still
    assert yard.truth["pit_c"] > still + 5.0


def test_an_unknown_probe_fault_is_refused():
    with pytest.raises(UserError, match="no probe fault 'melted'"):
        world().break_probe("pit", "melted")


def test_a_blower_stuck_on_blows_without_being_driven_and_a_dead_one_never():
    yard = world()
    yard.stick_blower(1.0)
    yard.advance(20.0)
    assert yard.tach_rpm > 5000.0
    yard.stick_blower(0.0)
    yard.set_air(1.0, None)
    yard.advance(20.0)
    assert yard.tach_rpm == 0.0


def test_a_motor_needs_a_kick_to_start_and_then_runs_lower():
    motor = Motor()
    for _ in range(10):
        motor.step(1.0, 0.12)
    assert motor.speed == 0.0
    motor.step(1.0, 0.3)
    for _ in range(10):
        motor.step(1.0, 0.12)
    assert motor.speed == pytest.approx(0.12, abs=0.01)


def test_wind_keeps_its_mean_and_gusts_about_it():
    wind = Wind(seed=2, gust=0.3)
    seen = [wind.step(1.0, 4.0) for _ in range(20000)]
    mean = sum(seen) / len(seen)
    spread = (sum((v - mean) ** 2 for v in seen) / len(seen)) ** 0.5
    assert mean == pytest.approx(4.0, abs=0.4)
    assert spread / mean == pytest.approx(0.3, abs=0.08)


def test_a_resolution_rounds_and_the_noise_is_repeatable():
    a, b = (World(HeavyCeramic(seed=1), seed=3, noise_c=0.2) for _ in range(2))
    a.sensors.resolution_c = b.sensors.resolution_c = 0.25
    a.advance(50.0)
    b.advance(50.0)
    assert a.pit_c == b.pit_c
    assert a.pit_c * 4.0 == round(a.pit_c * 4.0)


def test_a_plant_without_an_ability_says_so():
    class Bare(HeavyCeramic):
        add_mass = None

    with pytest.raises(UserError, match="has no add_mass"):
        World(Bare()).set_in(6.0, 10.0)
