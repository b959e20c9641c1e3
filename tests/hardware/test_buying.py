"""What the pages say of food probes, blowers and the fuse is what the firmware's constants and the formulas give.

Rows of resistance in kohm: the maker's own pages of the glass thermistors AMF58B-103F3950 (B25/50 3950 K, 1 %) and
AMF58-103F3435 (B25/85 3435 K, 1 %).
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from emberboard.drivers.thermistor import celsius_from
from hardware import air, power

BILL = (Path(power.__file__).parent / "bill_of_materials.md").read_text(encoding="utf-8")
HEAT = (Path(power.__file__).parent / "heat_and_weather.md").read_text(encoding="utf-8")
README = (Path(power.__file__).parents[1] / "README.md").read_text(encoding="utf-8")
RIGHT = {
    25.0: 10.0,
    80.0: 1.2429,
    85.0: 1.0594,
    90.0: 0.9069,
    95.0: 0.7797,
    100.0: 0.6730,
    120.0: 0.3874,
    150.0: 0.1851,
}
WRONG = {0.0: 27.672, 40.0: 5.809, 80.0: 1.676, 100.0: 0.978}


def shown(temp_c: float, beta_k: float) -> float:
    """What the board shows of a probe that follows its beta exactly (B = ln(R1/R2) / (1/T1 - 1/T2), IEC 60539-1)."""
    return celsius_from(1e4 * math.exp(beta_k * (1.0 / (temp_c + 273.15) - 1.0 / 298.15)))


def row(of: str) -> list[str]:
    line = next(line for line in BILL.splitlines() if line.startswith("| 10 kohm") and of in line)
    return [cell.strip().strip("*") for cell in line.strip("|").split("|")]


@pytest.mark.parametrize(("temp_c", "kohm"), RIGHT.items())
def test_the_probe_that_is_asked_for_is_read_within_half_a_kelvin(temp_c: float, kohm: float) -> None:
    assert celsius_from(1e3 * kohm) == pytest.approx(temp_c, abs=0.4)


@pytest.mark.parametrize("beta_k", [3977.0, 3850.0, 3435.0])
def test_what_another_beta_costs_is_as_the_page_has_it(beta_k: float) -> None:
    said = row(f"{beta_k:.0f} K")
    for cell, temp_c in zip(said[2:], (57.0, 63.0, 100.0), strict=True):
        off_k = shown(temp_c, beta_k) - temp_c
        number, side = cell.split(" K ")
        assert float(number.strip("*")) == pytest.approx(abs(off_k), abs=0.5 if beta_k < 3500 else 0.06), cell
        assert side.startswith("too high" if off_k > 0 else "too low")


def test_the_makers_table_of_the_wrong_one_says_the_same() -> None:
    assert celsius_from(1e3 * WRONG[100.0]) - 100.0 == pytest.approx(-12.0, abs=0.2)
    assert celsius_from(1e3 * WRONG[0.0]) == pytest.approx(3.0, abs=0.4)
    assert "670 ohm is right, 980 ohm is a 3435" in BILL
    assert (round(1e3 * RIGHT[100.0], -1), round(1e3 * WRONG[100.0], -1)) == (670.0, 980.0)


def test_the_beta_on_the_page_is_the_codes() -> None:
    ohm = {temp_c: _ohm(temp_c) for temp_c in (25.0, 50.0, 85.0)}
    for temp_c, said in ((85.0, "3977 K between 25 and 85"), (50.0, "3936 K between 25 and 50")):
        beta_k = math.log(ohm[25.0] / ohm[temp_c]) / (1.0 / 298.15 - 1.0 / (temp_c + 273.15))
        assert f"{beta_k:.0f} K between 25 and {temp_c:.0f}" == said
        assert f"{beta_k:.0f} K" in BILL


def _ohm(temp_c: float) -> float:
    """The resistance at which the firmware shows that temperature, by halving."""
    low, high = 10.0, 1e6
    for _ in range(80):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if celsius_from(middle) > temp_c else (low, middle)
    return low


BANDS = {"A": (1, 5), "B": (5, 15), "C": (15, 40)}  # A is "below 5"; nothing costs less than 1
OPTIONAL = ("if wanted", "only", "if the servo", "damper parts")


def _priced() -> list[tuple[str, int, str]]:
    """Name, how many are needed at least, and band, of each row of the list of parts."""
    found = re.findall(r"^\| ([^|]+) \|([^|]*)\|.*\| ([ABC])( each)? \|$", BILL, re.MULTILINE)
    return [(name, int(count.split()[0]) if each else 1, band) for name, count, band, each in found]


def test_the_costs_are_the_sums_of_the_bands() -> None:
    needed = [row for row in _priced() if not any(word in row[0] for word in OPTIONAL)]
    assert len(needed) > 20
    low, high = (sum(count * BANDS[band][k] for _, count, band in needed) for k in (0, 1))
    assert f"with one food probe | {low} | {high} |" in BILL
    assert f"about {round(low, -1)} to {round(high, -1)}" in README


def test_the_table_of_blowers_is_what_the_formulas_give() -> None:
    assert all(line in HEAT for line in air.rows())
    assert air.hold_m3h(46.0) == pytest.approx(0.3514 * 170.0 / 122.0 / 1204.0 * 3600.0, rel=1e-9)
    assert air.pressure_pa() * air.SHARE == pytest.approx(39.0, abs=0.5)  # rho v^2 / 2 at 8 m/s
    assert "39 Pa" in HEAT
    cubic_foot_m3 = 0.3048**3  # the foot is 0.3048 m, exactly
    assert air.CFM_A_M3H * cubic_foot_m3 * 60.0 == pytest.approx(1.0, rel=1e-3)


def test_a_fuse_in_a_hot_box_carries_less_than_the_rule_and_the_page_says_where_it_belongs() -> None:
    assert power.hot_fuse_a() == pytest.approx(1.0 * 0.75 * (1.0 - 0.005 * 35.0))
    assert power.hot_fuse_a() < power.run_a() < power.fuse_a() * power.FUSE_SHARE
    assert "at the adapter's end of the cable" in BILL
