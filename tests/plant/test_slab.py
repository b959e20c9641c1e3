"""Food: conduction against series and tables, meat against Choi-Okos, evaporation against psychrolib."""

from __future__ import annotations

import csv
from math import cos, exp
from pathlib import Path

import psychrolib
import pytest

from emberdraft.plant.moist import humidity_ratio, saturation_pa
from emberdraft.plant.slab import MEAT, Slab, sear_piece, warm_piece

COMPUTED = Path(__file__).parents[1] / "computed"
ROAST = {"k": 0.48, "rho": 1060.0, "cp": 3500.0}


def rows(name: str) -> list[dict[str, str]]:
    lines = [line for line in (COMPUTED / name).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def dry(mass_kg: float, thickness_m: float, initial_c: float, meat: dict[str, float], cells: int = 16) -> Slab:
    return Slab(mass_kg, thickness_m, initial_c, meat, wet=0.0, cells=cells)


def roast_until(slab: Slab, end_s: float, h: float, air_c: float) -> None:
    for _ in range(int(end_s)):
        warm_piece(slab, 1.0, h, air_c, 0.0)


def test_the_worked_roast_reaches_its_published_centre_temperatures():
    # 60 mm slab, h 15, air 110 degC, from 5 degC: series solution and an independent finite difference agree
    slab = dry(1.0, 0.06, 5.0, ROAST)
    seen, surface = [], []
    for _ in range(6):
        roast_until(slab, 1800.0, 15.0, 110.0)
        seen.append(slab.core_c)
        surface.append(slab.surface_c)
    worked = [13.312, 28.865, 42.380, 53.666]
    assert seen[:4] == pytest.approx(worked, abs=0.15)
    assert seen[5] == pytest.approx(70.903, abs=0.15)
    assert surface[:4] == pytest.approx([44.25, 55.79, 64.87, 72.40], abs=0.2)


def test_the_worked_roast_is_at_54_4_degc_after_7329_s():
    slab = dry(1.0, 0.06, 5.0, ROAST)
    at_s = 0
    while slab.core_c < 54.4:
        warm_piece(slab, 1.0, 15.0, 110.0, 0.0)
        at_s += 1
    assert at_s == pytest.approx(7329.3, rel=0.003)


def test_the_coarse_slab_of_the_cooker_is_within_a_per_cent_of_the_worked_roast():
    slab = dry(1.0, 0.06, 5.0, ROAST, cells=8)
    at_s = 0
    while slab.core_c < 54.4:
        warm_piece(slab, 2.0, 15.0, 110.0, 0.0)
        at_s += 2
    assert at_s == pytest.approx(7329.3, rel=0.01)


@pytest.mark.parametrize(
    ("biot", "fourier", "centre"),
    [(1.0, 1.0, 0.533859), (2.0, 0.5, 0.659618), (5.0, 0.5, 0.523109), (0.5, 1.0, 0.698383), (10.0, 0.3, 0.682465)],
)
def test_the_slab_follows_the_full_series(biot, fourier, centre):
    meat = {"k": 0.5, "rho": 1000.0, "cp": 3500.0}
    half = 0.02
    slab = dry(1.0, 2.0 * half, 1.0, meat, cells=24)
    end_s = fourier * half**2 * meat["rho"] * meat["cp"] / meat["k"]
    steps = 4000
    for _ in range(steps):
        warm_piece(slab, end_s / steps, biot * meat["k"] / half, 0.0, 0.0)
    assert slab.core_c == pytest.approx(centre, abs=0.001)


@pytest.mark.parametrize("biot", ["0.1", "0.5", "1", "5"])
def test_the_slab_follows_the_one_term_table_late_on(biot):
    row = next(r for r in rows("one_term_coefficients.csv") if r["Bi"] == biot)
    zeta, c1 = float(row["wall_zeta1"]), float(row["wall_C1"])
    meat = {"k": 0.5, "rho": 1000.0, "cp": 3500.0}
    half = 0.02
    slab = dry(1.0, 2.0 * half, 1.0, meat, cells=24)
    end_s = 1.0 * half**2 * 7.0e6
    for _ in range(4000):
        warm_piece(slab, end_s / 4000, float(biot) * meat["k"] / half, 0.0, 0.0)
    assert slab.core_c == pytest.approx(c1 * exp(-(zeta**2)), abs=0.0012)
    assert slab.surface_c == pytest.approx(c1 * exp(-(zeta**2)) * cos(zeta), abs=0.0015)


@pytest.mark.parametrize(
    ("air_c", "h", "pull_c", "peak_c"),
    [(110.0, 15.0, 54.4, 58.24), (110.0, 15.0, 50.0, 54.31), (200.0, 20.0, 50.0, 65.06)],
)
def test_carry_over_after_the_pull_has_the_worked_peaks(air_c, h, pull_c, peak_c):
    # same 60 mm slab, rest in 20 degC air at h 10, no evaporation
    slab = dry(1.0, 0.06, 5.0, ROAST)
    while slab.core_c < pull_c:
        warm_piece(slab, 2.0, h, air_c, 0.0)
    peak = slab.core_c
    for _ in range(1800):
        warm_piece(slab, 2.0, 10.0, 20.0, 0.0)
        peak = max(peak, slab.core_c)
    assert peak == pytest.approx(peak_c, abs=0.15)


def test_steps_of_five_seconds_agree_with_steps_of_a_quarter():
    def core_after(dt_s: float) -> float:
        slab = Slab(0.45, 0.04, 4.0)
        for _ in range(int(1800 / dt_s)):
            warm_piece(slab, dt_s, 27.0, 115.0, 0.02)
        return slab.core_c

    assert core_after(5.0) == pytest.approx(core_after(0.25), abs=0.2)


def test_the_plants_meat_lies_among_the_beef_of_the_handbook():
    """Between a lean cut and a fatter one, cold and hot (ASHRAE Refrigeration 2006 ch. 9, by composition)."""
    table = rows("choi_okos_beef.csv")
    for key, column, factor in (("k", "k_par", 1.0), ("rho", "rho_kg_m3", 1.0), ("cp", "cp_kJ_kgK", 1000.0)):
        values = [factor * float(row[column]) for row in table]
        assert min(values) <= MEAT[key] <= max(values), key


def test_saturation_pressure_agrees_with_psychrolib():
    psychrolib.SetUnitSystem(psychrolib.SI)
    for temp_c in (5.0, 20.0, 37.0, 50.0, 70.0, 90.0):
        assert saturation_pa(temp_c) == pytest.approx(psychrolib.GetSatVapPres(temp_c), rel=0.004)


@pytest.mark.parametrize(
    ("pit_c", "ratio", "wet_c"),
    [(110.0, 0.007262, 35.9), (121.0, 0.007262, 37.6), (135.0, 0.007262, 39.6), (110.0, 0.05, 48.3)],
)
def test_a_wet_face_settles_at_the_wet_bulb(pit_c, ratio, wet_c):
    # psychrolib on ASHRAE F17; a thin, wholly wet slab heated by convection alone goes there
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert psychrolib.GetTWetBulbFromHumRatio(pit_c, ratio, 101325.0) == pytest.approx(wet_c, abs=0.1)
    slab = Slab(0.05, 0.008, 30.0)
    for _ in range(3600):
        warm_piece(slab, 1.0, 25.0, pit_c, ratio)
    assert slab.surface_c == pytest.approx(wet_c, abs=1.2)


def test_a_boiling_face_does_not_ring_at_long_steps():
    faces = []
    for dt_s in (0.25, 5.0):
        slab = Slab(0.2, 0.02, 20.0)
        for _ in range(int(300 / dt_s)):
            sear_piece(slab, dt_s, 30.0, 250.0, 0.02, 240.0, 280.0)
        faces.append(slab.surface_c)
    assert faces[0] == pytest.approx(faces[1], abs=1.0)
    assert 70.0 < faces[0] < 105.0


def test_humidity_ratio_agrees_with_psychrolib():
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert humidity_ratio(1169.0) == pytest.approx(psychrolib.GetHumRatioFromVapPres(1169.0, 101325.0), rel=0.001)


def test_a_piece_keeps_the_heat_it_is_given():
    slab = Slab(0.5, 0.03, 4.0)
    before, given = slab.stored_j(), 0.0
    for _ in range(1000):
        heat, water = warm_piece(slab, 1.0, 25.0, 120.0, 0.02)
        given += heat - water * 2380.0
    assert slab.stored_j() - before == pytest.approx(given, rel=1e-9)
