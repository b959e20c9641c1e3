"""Stack draft, orifices and the air path against values worked out by hand formula (computed apart)."""

from __future__ import annotations

import pytest

from emberdraft.plant.combustion import (
    CO_PENALTY,
    CO_PER_C,
    HEAT_PER_C,
    HEAT_PER_C_CO,
    HEAT_PER_O2,
    O2_MASS,
    O2_PER_C,
    heat_w,
)
from emberdraft.plant.flow import AirPath, Blower, conductance, in_series, orifice_gps, stack_draft_pa


@pytest.mark.parametrize(
    ("height_m", "outside_c", "inside_c", "draft_pa"),
    [
        (0.5, 20.0, 110.0, 1.387),
        (0.5, 20.0, 350.0, 3.127),
        (0.5, 0.0, 110.0, 1.819),
        (1.0, 20.0, 110.0, 2.774),
        (10.0, 0.0, 20.0, 8.646),
        (0.5, 110.0, 110.0, 0.0),
    ],
)
def test_stack_draft_has_the_worked_values(height_m, outside_c, inside_c, draft_pa):
    # dp = (p g h / R)(1/To - 1/Ti), p g/R = 3461.6 Pa K/m at 101325 Pa
    assert stack_draft_pa(height_m, inside_c, outside_c) == pytest.approx(draft_pa, abs=0.001)


def test_a_colder_inside_turns_the_draft_round():
    assert stack_draft_pa(0.5, 10.0, 20.0) < 0.0


@pytest.mark.parametrize(("diameter_m", "drop_pa", "flow_gps"), [(0.010, 5.0, 0.1662), (0.020, 5.0, 0.665)])
def test_orifice_flow_has_the_worked_values(diameter_m, drop_pa, flow_gps):
    # Q = Cd A sqrt(2 dp / rho), Cd 0.61, rho 1.204: 0.5523 L/s through 20 mm at 5 Pa
    area = 3.14159265 / 4.0 * diameter_m**2
    assert orifice_gps(area, drop_pa) == pytest.approx(flow_gps, rel=0.002)


def test_twice_the_pressure_gives_root_two_of_the_flow_and_back_flow_is_negative():
    assert orifice_gps(3e-4, 10.0) / orifice_gps(3e-4, 5.0) == pytest.approx(2.0**0.5, rel=1e-12)
    assert orifice_gps(3e-4, -5.0) == -orifice_gps(3e-4, 5.0)


def test_stack_through_a_ten_cm2_vent_feeds_a_fire_of_nearly_3_kw():
    # 1.387 Pa through 10 cm2 at 110 degC: 0.975 g/s, about 2.8 kW of carbon heat
    assert orifice_gps(10e-4, 1.387, 110.0) == pytest.approx(0.975, rel=0.003)


def test_what_flows_in_flows_out_and_each_opening_obeys_its_law():
    path = AirPath()
    for _ in range(20):
        path.settle(40.0, 1.5, duct=2.0, leak=0.1, out=1.0)
    pa = path.room_pa
    assert path.duct_gps == pytest.approx(2.0 * (40.0 - pa) ** 0.5, rel=0.01)
    assert path.leak_gps == pytest.approx(-0.1 * pa**0.5, rel=0.01)
    assert path.duct_gps + path.leak_gps == pytest.approx(1.0 * (pa + 1.5) ** 0.5, rel=0.01)


def test_a_sudden_blower_settles_within_two_steps():
    path = AirPath()
    for _ in range(10):
        path.settle(0.0, 1.4, duct=0.6, leak=0.1, out=1.5)
    path.settle(80.0, 1.4, duct=0.6, leak=0.1, out=1.5)
    second = path.settle(80.0, 1.4, duct=0.6, leak=0.1, out=1.5)
    for _ in range(20):
        settled = path.settle(80.0, 1.4, duct=0.6, leak=0.1, out=1.5)
    assert second == pytest.approx(settled, rel=0.02)


def test_a_low_leak_draws_in_by_draft_and_blows_out_under_the_blower():
    path = AirPath()
    for _ in range(20):
        path.settle(0.0, 1.4, duct=0.1, leak=0.2, out=2.0)
    assert path.leak_gps > 0.0
    for _ in range(20):
        path.settle(80.0, 1.4, duct=1.0, leak=0.2, out=2.0)
    assert path.leak_gps < 0.0


def test_the_blower_delivers_its_free_flow_and_its_stall_pressure():
    blower = Blower(stall_pa=90.0, free_gps=3.8, flap_area_m2=1e-4)
    wide = blower.duct(1e9, 1.0)
    assert wide * blower.boost_pa(1.0) ** 0.5 == pytest.approx(3.8 + conductance(1e-4) * 0.0, rel=1e-6)
    assert blower.boost_pa(0.5) == pytest.approx(22.5)


def test_a_stopped_blower_leaves_only_its_flap_open():
    blower = Blower(stall_pa=90.0, free_gps=3.8, flap_area_m2=1e-4)
    assert blower.duct(10.0, 0.0) == pytest.approx(in_series(10.0, conductance(1e-4)))


def test_carbon_gives_the_heat_and_the_oxygen_of_its_formation_enthalpies():
    # C 12.011, O2 31.998, dHf CO2 -393.51, CO -110.53 kJ/mol
    assert pytest.approx(2.6641, abs=5e-5) == O2_PER_C
    assert pytest.approx(32.76, abs=0.005) == HEAT_PER_C / 1e6
    assert pytest.approx(9.20, abs=0.005) == HEAT_PER_C_CO / 1e6
    assert pytest.approx(12.30, abs=0.005) == HEAT_PER_O2 / 1e6


def test_carbon_lies_six_per_cent_below_huggetts_constant_for_all_fuels():
    # Huggett 1980: 13.1 MJ/kg O2 +-5 %; pure carbon gives 12.30 and lies just outside
    assert pytest.approx(0.939, abs=0.001) == HEAT_PER_O2 / 13.1e6


def test_a_kilowatt_takes_0_3514_grams_of_air_a_second_and_122_grams_of_charcoal_an_hour():
    o2_per_kw = 1000.0 / heat_w(1.0, 0.0)
    assert o2_per_kw / O2_MASS == pytest.approx(0.3514, abs=0.0003)
    charcoal_gph = o2_per_kw / O2_PER_C / 0.90 * 3600.0  # 0.90 carbon: 29.5 MJ/kg
    assert charcoal_gph == pytest.approx(122.0, rel=0.005)


def test_carbon_to_monoxide_alone_gives_6_91_mj_per_kg_of_oxygen():
    carbon = 1.0
    o2 = carbon * O2_PER_C / 2.0
    assert heat_w(o2, carbon * CO_PER_C) * 1e3 / o2 / 1e6 == pytest.approx(6.91, abs=0.01)
    assert CO_PENALTY > 0.0
