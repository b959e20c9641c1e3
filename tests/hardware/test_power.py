"""The budget's formulas against worked examples, its decisions against the limits that they must keep."""

from __future__ import annotations

from dataclasses import replace

import pytest

from emberboard import permit
from emberboard.drivers import blower
from hardware import power


def test_the_page_is_what_the_formulas_give():
    """If this fails: python -m hardware.power."""
    assert power.TARGET.read_text(encoding="utf-8") == power.text()


def test_a_worked_example_of_the_losses_in_a_mosfet():
    # A published calculator's example: 50 mohm, 5 A, 12 V, 50 ns of edges, 100 kHz: 1.25 W and 0.15 W.
    assert power.conduction_w(5.0, 0.050) == pytest.approx(1.25)
    assert power.switching_w(12.0, 5.0, 50e-9, 100e3) == pytest.approx(0.15)


def test_a_makers_worked_example_of_losses_and_junction():
    """STMicroelectronics, A5973D data sheet (13957), "Thermal considerations", page 26, equations 25 to 27 (read):
    0.4 ohm, 2 A at 30 %, 12 V, edges of 70 ns each, 250 kHz, 2.5 mA of its own: 0.93 W; 42 K/W at 70 degC: 110 degC."""
    conducting, switching = 0.3 * power.conduction_w(2.0, 0.4), power.switching_w(12.0, 2.0, 2.0 * 70e-9, 250e3)
    assert (conducting, switching) == (pytest.approx(0.48), pytest.approx(0.42))
    total = conducting + switching + 12.0 * 2.5e-3
    assert total == pytest.approx(0.93)
    risen_k = power.junction_c(total, replace(power.Mosfet(), to_air_k_per_w=42.0)) - power.BOX_C
    assert 70.0 + risen_k == pytest.approx(110.0, abs=1.0)


def test_a_cable_loses_what_the_table_says():
    # IEC 60228 class 5: 0.75 mm2 has 26.0 ohm per km; 10 m there and back at 1 A and 20 degC lose 0.52 V.
    assert power.drop_v(1.0, 10.0, 0.75, copper_c=20.0) == pytest.approx(0.52)


def test_the_second_switch_outlives_a_step_and_not_the_permission():
    low_s, _, high_s = power.pulse_s()
    assert low_s > power.STEP_S
    assert high_s < (permit.PERMIT_MS + permit.CHECK_MS) / 1000.0 == pytest.approx(power.PERMISSION_S, abs=0.06)


def test_the_frequency_is_the_firmwares():
    assert power.PWM_HZ == blower.PERIOD_HZ


def test_nothing_gets_too_hot_even_with_the_blower_held_fast():
    part, held = power.Mosfet(), power.Blower(run_a=power.Blower().start_a)
    assert power.junction_c(power.mosfet_w(part, held), part) < part.highest_c - 25.0


def test_the_fuse_carries_the_rule_and_the_adapter_the_worst():
    assert power.run_a() < power.fuse_a() < power.adapter_a()
    assert power.worst_a() < power.adapter_a()


def test_the_gate_is_driven_well_and_let_go_quickly():
    assert power.gate_volt() > 3.0
    assert power.off_s() < 1e-3
