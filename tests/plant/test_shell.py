"""Walls and stone: conduction against hand formulas; films and radiation against worked values."""

from __future__ import annotations

from math import exp

import pytest

from emberdraft.plant.combustion import SIGMA
from emberdraft.plant.heavy_ceramic import CONSTANTS, HeavyCeramic
from emberdraft.plant.shell import Shell, Stone

WALL = {"shell_layers": 4.0, "shell_rho": 2200.0, "shell_cp": 900.0}


def test_a_steady_wall_carries_k_a_dt_over_l():
    wall = Shell(72.0, 1.2, 1.3, WALL, 20.0)
    for _ in range(20000):
        wall.step(5.0, 800.0, 18.0 * (wall.temp_c[-1] - 20.0))
    thick_m = 72.0 / (2200.0 * 1.2)
    across = 800.0 * (thick_m * 3.0 / 4.0) / (1.3 * 1.2)  # from the middle of the first to that of the last layer
    assert wall.temp_c[0] - wall.temp_c[-1] == pytest.approx(across, rel=1e-3)
    assert wall.temp_c[-1] - 20.0 == pytest.approx(800.0 / 18.0, rel=1e-3)


def test_a_wall_keeps_the_heat_it_is_given():
    wall = Shell(72.0, 1.2, 1.3, WALL, 20.0)
    before = wall.stored_j()
    for _ in range(1000):
        wall.step(1.0, 900.0, 100.0)
    assert wall.stored_j() - before == pytest.approx(800.0 * 1000.0, rel=1e-9)


def test_a_thin_well_conducting_wall_cools_as_one_lump():
    # exp(-t UA / mc) with Bi near 0
    wall = Shell(14.0, 1.3, 45.0, {"shell_layers": 1.0, "shell_rho": 7850.0, "shell_cp": 480.0}, 120.0)
    for _ in range(600):
        wall.step(1.0, 0.0, 15.0 * (wall.temp_c[0] - 20.0))
    assert wall.temp_c[0] - 20.0 == pytest.approx(100.0 * exp(-600.0 * 15.0 / (14.0 * 480.0)), rel=0.005)


def test_a_stone_heated_from_below_is_hottest_below_and_its_face_is_extrapolated():
    stone = Stone(dict(CONSTANTS), 20.0)
    for _ in range(900):
        stone.step(1.0, 700.0, -100.0)
    assert stone.under_c > stone.core_c > stone.bead_c > stone.face_c
    half_layer_m = CONSTANTS["stone_kg"] / (CONSTANTS["stone_rho"] * stone.area_m2) / 6.0
    drop = 100.0 * half_layer_m / (CONSTANTS["stone_k"] * stone.area_m2)
    assert stone.bead_c - stone.face_c == pytest.approx(drop, rel=0.05)


def test_radiation_has_its_worked_values():
    # sigma = 5.670374e-8: emissivity 0.9, 60 to 20 degC 251.8 W/m2; black 350 to 20 degC 8131.5 W/m2
    assert pytest.approx(251.8, abs=0.1) == 0.9 * SIGMA * (333.15**4 - 293.15**4)
    assert pytest.approx(8131.5, abs=1.0) == SIGMA * (623.15**4 - 293.15**4)


def test_the_outer_film_in_still_air_is_convection_and_radiation_of_the_worked_plate():
    # Churchill-Chu, 0.4 m plate, 60 and 20 degC: 5.07 W/m2K; radiation at emissivity 0.9: 6.29 W/m2K
    assert CONSTANTS["outer_h"] == pytest.approx(5.07 + 6.29, abs=0.1)


def test_a_closed_cooker_without_fire_cools_with_the_time_constant_of_its_walls():
    # mass * cp / (film * area), slowed by what it holds inside: hours, as people know ceramic cookers
    plant = HeavyCeramic(seed=0, lit_kg=0.0, start_c=120.0)
    u = {"blower": 0.0, "intake": 0.0, "exhaust": 0.0, "lid_open": False, "ambient_c": 20.0, "wind_mps": 0.0}
    for _ in range(1800):
        plant.step(2.0, u)
    first = plant.pit_c - 20.0
    for _ in range(1800):
        plant.step(2.0, u)
    fell = first / (plant.pit_c - 20.0)  # in an hour
    walls_s = CONSTANTS["shell_kg"] * CONSTANTS["shell_cp"] / (CONSTANTS["outer_h"] * CONSTANTS["outer_m2"])
    assert exp(3600.0 / (1.8 * walls_s)) < fell < exp(3600.0 / walls_s)
