"""The training cookers keep their books, and burn what charcoal can burn; compiled they are the same cookers."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.bench_suite.hearths import KINDS, kinds

ROOT = Path(__file__).parents[2]
LENGTH_S = 3000


def acts(second: int) -> dict[str, Any]:
    """Full air, then changing air, a lid, and gusts."""
    blower = 1.0 if second < 900 else (second // 200 % 3) * 0.2
    lid, gust = 1500 < second < 1580, 1.0 + second // 100 % 5
    return {"blower": blower, "intake": 1.0, "exhaust": 0.3, "lid_open": lid, "ambient_c": 20.0, "wind_mps": gust}


def cooked(name: str) -> tuple[Any, dict[str, Any]]:
    hearth = getattr(kinds, KINDS[name])(3)
    for second in range(LENGTH_S):
        if second == 1200:
            hearth.add_food(0.5, 0.035, 4.0)
        out = hearth.step(1.0, acts(second))
    return hearth, out


@pytest.mark.parametrize("name", KINDS)
def test_no_heat_is_lost_or_made(name: str) -> None:
    """First law of thermodynamics: what the fire released is in the cooker or has left it."""
    hearth, out = cooked(name)
    assert hearth.missing_share() < 1e-9
    assert out["core_c"][0] < out["surface_c"][0] < out["pit_c"]


def test_charcoal_gives_no_more_than_its_heating_value() -> None:
    """Charcoal has at most 34 MJ/kg (FAO Forestry Paper 41, 1987: lump charcoal 28 to 33 MJ/kg, pure carbon 34)."""
    hearth, out = cooked("medium")
    burnt_kg = hearth.c["fuel_kg"] - out["fuel_kg"]
    assert 10e6 < hearth.s[kinds.at.S_RELEASED] / burnt_kg < 34e6


def test_no_air_puts_the_fire_out() -> None:
    hearth = kinds.Medium(1)
    shut = {**acts(2000), "blower": 0.0, "intake": 0.0, "exhaust": 0.0, "wind_mps": 0.0}
    hot = max(hearth.step(1.0, acts(second))["pit_c"] for second in range(900))
    for _ in range(7200):
        out = hearth.step(1.0, shut)
    assert out["pit_c"] < 0.6 * hot


def test_compiled_it_is_the_same_cooker() -> None:
    pytest.importorskip("numba")
    _, plain = cooked("small")
    program = "from tests.bench_suite.test_hearths import cooked; print(repr(cooked('small')[1]['pit_c']))"
    env = {**os.environ, "HEARTHS_JIT": "1", "PYTHONPATH": f"{ROOT}/host:{ROOT}/firmware:{ROOT}"}
    ran = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=env, capture_output=True, text=True, check=True)
    assert float(ran.stdout) == pytest.approx(plain["pit_c"], abs=1e-6)
