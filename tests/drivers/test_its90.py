"""Type K by ITS-90 against thermocouple-its90, whose data are NIST SRD 60's, in 64 and in 32 bits."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from thermocouple_its90 import TypeK

from emberboard.drivers import its90

ORACLE = TypeK
EVERY_C = range(-200, 1373, 4)

# NIST Monograph 175 table for type K, mV, as rounded there.
TABLE = [(-50, -1.889), (0, 0.0), (25, 1.0), (100, 4.096), (250, 10.153), (500, 20.644), (1000, 41.276), (1300, 52.41)]


@pytest.mark.parametrize(("temp_c", "emf_mv"), TABLE)
def test_a_row_of_the_table(temp_c, emf_mv):
    assert its90.millivolts(float(temp_c)) == pytest.approx(emf_mv, abs=0.0006)


def test_the_voltage_is_the_oracles_everywhere():
    for temp_c in EVERY_C:
        assert its90.millivolts(float(temp_c)) == pytest.approx(ORACLE.emf(temp_c), abs=1e-8)


def test_back_and_forth_stays_in_the_published_bands():
    # NIST SRD 60, inverse of type K: -0.02 to 0.04, -0.05 to 0.04 and -0.05 to 0.06 degC in the three ranges.
    for temp_c in EVERY_C:
        back_c = its90.celsius(ORACLE.emf(temp_c))
        assert back_c is None or -0.05 <= back_c - temp_c <= 0.06
        assert back_c is not None or temp_c in (-200, 1372)  # the ends, to the last digit of the published range


def test_a_meter_at_25_degrees():
    # 5.500 mV with the cold junction at 25 degC is 159.003 degC (thermocouple-its90); adding 25 would give 159.218.
    hot_c = its90.celsius(5.5 + its90.millivolts(25.0))
    assert hot_c == pytest.approx(159.003, abs=0.06)
    assert abs(hot_c - 159.218) > 0.15


def test_32_bits_cost_little():
    # A board's floats: 0.05 degC is what is allowed beyond the published bands.
    for temp_c in range(-40, 601, 2):
        emf_mv = np.float32(ORACLE.emf(temp_c))
        assert float(its90.celsius(emf_mv)) == pytest.approx(its90.celsius(float(emf_mv)), abs=0.02)
        assert float(its90.millivolts(np.float32(temp_c))) == pytest.approx(ORACLE.emf(temp_c), abs=1e-4)


@pytest.mark.parametrize("joint_mv", [0.0, 20.644])
def test_the_pieces_meet(joint_mv):
    below, above = np.nextafter(np.float32(joint_mv), np.float32([-1.0, 99.0]))
    assert abs(float(its90.celsius(below)) - float(its90.celsius(above))) < 0.1


def test_it_only_ever_rises():
    values = [its90.celsius(np.float32(mv / 50)) for mv in range(-290, 2740)]
    assert all(b > a for a, b in pairwise(values))


@pytest.mark.parametrize("emf_mv", [-6.0, 55.0, float("nan"), float("inf")])
def test_what_no_thermocouple_gives_is_no_temperature(emf_mv):
    assert its90.celsius(emf_mv) is None
