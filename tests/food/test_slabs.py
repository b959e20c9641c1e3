"""The forecast's conduction model against the published slab (Incropera and DeWitt's series; the worked roast)."""

from __future__ import annotations

import numpy as np
import pytest

from emberdraft.food import slabs
from emberdraft.food.slabs import Slabs, vapour_pressure_pa

ONE = np.ones(1)


def _dry_slab(half_m: float, alpha: float, h: float, start_c: float) -> Slabs:
    return Slabs(half_m * ONE, 0.0 * ONE, alpha * ONE, h * ONE, 0.0 * ONE, start_c)


def test_the_worked_roast_takes_7329_s(monkeypatch: pytest.MonkeyPatch) -> None:
    """k 0.48, rho 1060, cp 3500; 60 mm slab, h 15, air 110 degC from 5 degC: centre 54.4 degC at 7329.3 s (the exact
    series of a plane wall, Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, section 5.5)."""
    monkeypatch.setattr(slabs, "CONDUCTIVITY_W_MK", 0.48)
    slab = _dry_slab(0.030, 0.48 / 1060.0 / 3500.0, 15.0, 5.0)
    seconds = 0.0
    while slab.at(0.0 * ONE)[0] < 54.4:
        slab.step(20.0, 110.0)
        seconds += 20.0
    assert seconds == pytest.approx(7329.3, rel=0.01)


def test_a_dry_piece_ends_at_the_air_and_a_wet_one_below_it() -> None:
    dry = _dry_slab(0.01, 1.4e-7, 20.0, 5.0)
    wet = Slabs(0.01 * ONE, 0.0 * ONE, 1.4e-7 * ONE, 20.0 * ONE, 0.3 * ONE, 5.0)
    for _ in range(600):
        dry.step(60.0, 110.0)
        wet.step(60.0, 110.0)
    assert dry.at(0.0 * ONE)[0] == pytest.approx(110.0, abs=0.01)
    assert 40.0 < wet.at(0.0 * ONE)[0] < 75.0


def test_a_sphere_is_ready_before_a_cylinder_before_a_slab() -> None:
    shapes = np.array([0.0, 1.0, 2.0])
    three = np.ones(3)
    body = Slabs(0.03 * three, shapes, 1.4e-7 * three, 15.0 * three, 0.0 * three, 5.0)
    for _ in range(180):
        body.step(20.0, 110.0)
    slab, cylinder, sphere = body.at(np.zeros(3))
    assert slab < cylinder < sphere


@pytest.mark.parametrize(("temp_c", "pa"), [(5.0, 872.6), (25.0, 3169.7), (50.0, 12351.3), (100.0, 101418.0)])
def test_vapour_pressure_is_that_of_the_steam_tables(temp_c: float, pa: float) -> None:
    """Values of the ASHRAE Handbook, Fundamentals, as in psychrolib's own tests; the Magnus form is good to 3 %."""
    assert vapour_pressure_pa(np.array([temp_c]))[0] == pytest.approx(pa, rel=0.03)
