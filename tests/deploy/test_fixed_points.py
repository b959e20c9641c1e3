"""Boiling water against IAPWS tables and CoolProp, tolerances against IEC 60584-1."""

from __future__ import annotations

import json

import pytest

from emberdraft.cli import main
from emberdraft.deploy.fixed_points import advice, boiling_c, pressure_hpa, saturation_k, tolerance_c
from emberdraft.errors import UserError

# IAPWS-IF97 (2007), Table 36: values to verify a program with.
IF97 = [(0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)]
# CoolProp 8.0.0 (IAPWS-95, another set of equations), degC.
COOLPROP = [(1013.25, 99.974), (1000.0, 99.606), (950.0, 98.178), (845.56, 94.983), (700.0, 89.932)]
# Standard atmosphere, ISO 2533 table: geopotential height and pressure (from memory).
STANDARD = [(0.0, 1013.25), (1000.0, 898.75), (2000.0, 794.95), (3000.0, 701.09)]


@pytest.mark.parametrize(("mpa", "kelvin"), IF97)
def test_the_values_that_the_standard_gives_to_check_with(mpa, kelvin):
    assert saturation_k(mpa) == pytest.approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(("hpa", "temp_c"), COOLPROP)
def test_boiling_water_is_as_another_program_has_it(hpa, temp_c):
    assert boiling_c(hpa) == pytest.approx(temp_c, abs=0.002)


@pytest.mark.parametrize(("metres", "hpa"), STANDARD)
def test_the_air_thins_as_in_the_standard_atmosphere(metres, hpa):
    assert pressure_hpa(metres) == pytest.approx(hpa, abs=0.02)


# IEC 60584-1:2013, type K: 2.5 degC or 0.75 % (class 2), 1.5 degC or 0.4 % (class 1), whichever is more.
@pytest.mark.parametrize(
    ("temp_c", "iec_class", "limit_c"), [(110, 2, 2.5), (350, 2, 2.625), (350, 1, 1.5), (400, 1, 1.6), (100, 1, 1.5)]
)
def test_what_a_class_allows(temp_c, iec_class, limit_c):
    assert tolerance_c(temp_c, iec_class) == pytest.approx(limit_c)


@pytest.mark.parametrize(("shown_c", "word"), [(99.0, "class 1"), (97.9, "class 2"), (96.0, "outside")])
def test_a_reading_in_boiling_water_is_judged(shown_c, word):
    assert word in advice(99.974, shown_c)


@pytest.mark.parametrize("hpa", [30.0, 1200.0, float("nan")])
def test_a_pressure_that_cannot_be_is_named(hpa):
    with pytest.raises(UserError, match="500 to 1100 would be right"):
        boiling_c(hpa)


def test_the_verb_says_it(capsys):
    assert main(["board", "points", "--altitude", "500", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["boiling_c"] == pytest.approx(98.3, abs=0.05)  # CoolProp 8.0.0 at 954.6 hPa: 98.31
    assert main(["board", "points", "--pressure", "1013.25", "--shown", "99.5"]) == 0
    assert "boiling water 100.0 degC" in capsys.readouterr().out
