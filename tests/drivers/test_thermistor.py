"""The food probe against the rows of published tables; open and short are never numbers."""

from __future__ import annotations

import math

import pytest

from emberboard.drivers.thermistor import Thermistor, celsius_from
from emberdraft.virtual.probes import ThermistorProbe, resistance_ohm

# "1600-10K thermistor" chart, and Campbell Scientific 109SS manual, Table C-1 (10K3MCD1).
CHART = [(-40.0, 335671.0), (-31.0, 188026.0)]
MANUAL = [(-40.0, 336103.2), (-30.0, 176804.8), (-20.0, 97006.9), (0.0, 32650.9), (1.0, 31030.8), (25.0, 10000.0)]


class Counts:
    def __init__(self, counts):
        self.counts = counts

    def read_u16(self):
        return self.counts


@pytest.mark.parametrize(("temp_c", "ohm"), CHART + MANUAL)
def test_a_row_of_the_tables(temp_c, ohm):
    # 0.02 degC is the tables' own agreement with these constants; the coldest rows are two makers'.
    assert celsius_from(ohm) == pytest.approx(temp_c, abs=0.02 if temp_c > -30.0 else 0.06)


@pytest.mark.parametrize("temp_c", [0.0, 25.0, 57.0, 63.0, 100.0, 150.0])
def test_the_simulated_probe_is_read_back_through_its_divider(temp_c):
    probe = ThermistorProbe(lambda: temp_c)
    value_c, fault = Thermistor(probe_as_adc(probe)).read()
    assert fault == ""
    # One count of 65,535 is 0.02 degC at 57 degC and 0.1 degC at 150 degC under 10 kohm.
    assert value_c == pytest.approx(temp_c, abs=0.05 if temp_c < 110.0 else 0.15)


def probe_as_adc(probe):
    return Counts(probe.counts())


@pytest.mark.parametrize(("wiring", "fault"), [("open", "open"), ("short", "short")])
def test_a_broken_wire_is_a_fault_and_no_number(wiring, fault):
    probe = ThermistorProbe(lambda: 57.0)
    probe.wiring = wiring
    assert Thermistor(probe_as_adc(probe)).read() == (None, fault)


@pytest.mark.parametrize("ratio", [math.nan, math.inf, 1.0, 2.0])
def test_no_ratio_from_one_up_is_a_number(ratio):
    assert Thermistor(Counts(0)).value_of(ratio) == (None, "open")


@pytest.mark.parametrize("ratio", [0.0, -0.1])
def test_no_ratio_from_zero_down_is_a_number(ratio):
    assert Thermistor(Counts(0)).value_of(ratio) == (None, "short")


def test_resistance_falls_as_it_warms():
    ohms = [resistance_ohm(temp_c) for temp_c in range(-40, 200, 5)]
    assert ohms == sorted(ohms, reverse=True)
