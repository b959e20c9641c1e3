"""The plan of a dry brine: a slice from the middle narrows it, the fridge takes its water, nothing is lost."""

from __future__ import annotations

import json
import math

import psychrolib
import pytest

from emberdraft.cli import main
from emberdraft.errors import UserError
from emberdraft.food.brine import concentration, source_band
from emberdraft.food.brine_plan import plan_of
from emberdraft.food.centre_slice import narrowed, slice_share
from emberdraft.food.fridge import loss_share, saturated_ratio
from tests.proof.fixture import Proof

FOURIERS = (1e-4, 0.001, 0.01, 0.05, 0.1, 0.29, 0.31, 0.5, 1.0, 3.0)


@pytest.mark.parametrize("fo", FOURIERS)
@pytest.mark.parametrize("width", [0.05, 0.2, 0.6])
def test_a_slice_is_the_integral_of_the_profile(width: float, fo: float) -> None:
    from scipy.integrate import quad

    total, _ = quad(lambda x: concentration(x, fo), 1.0 - width, 1.0, epsabs=1e-11)
    assert slice_share(width, fo) == pytest.approx(total / width, abs=1e-7)


@pytest.mark.parametrize("fo", FOURIERS)
def test_of_the_whole_slab_no_salt_is_lost(fo: float) -> None:
    assert slice_share(1.0, fo) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.prove("brine")
def test_salt_is_conserved_at_a_thousand_moments(proof: Proof) -> None:
    from scipy.integrate import quad

    worst = 0.0
    for k in range(1000):
        fo = 10.0 ** (-4.0 + 5.0 * k / 999.0)
        near, _ = quad(lambda x, fo=fo: concentration(x, fo), 0.0, 0.4, points=[min(0.3, math.sqrt(fo))], limit=200)
        worst = max(worst, abs(slice_share(1.0, fo) - 1.0), abs(near + 0.6 * slice_share(0.6, fo) - 1.0))
    proof.promise("largest error of the mass of salt", worst, at_most=1e-6)


@pytest.mark.parametrize("true_m2s", [0.5e-10, 2.0e-10, 6.0e-10])
def test_a_slice_finds_the_coefficient_it_was_made_with(true_m2s: float) -> None:
    share = slice_share(0.005 / 0.03, true_m2s * 48 * 3600.0 / 0.015**2)
    low, middle, high = narrowed(0.03, 48.0, (0.95 * share, min(1.0, 1.05 * share)), 0.005)
    assert low < true_m2s < high
    assert middle == pytest.approx(true_m2s, rel=0.25)


def test_what_is_found_narrows_the_sources_band() -> None:
    before = plan_of(0.45, 0.038, 0.01, 48.0)
    after = plan_of(0.45, 0.038, 0.01, 48.0, centre=(0.2, 0.4))
    spread = [plan["diffusion_m2s"][2] / plan["diffusion_m2s"][0] for plan in (before, after)]
    assert spread[0] == pytest.approx(source_band()[2] / source_band()[0]) and spread[1] < 0.1 * spread[0]
    row = next(row for row in after["centre_over_mean"] if row["hours"] == 48.0)
    assert 0.1 < row["low"] < row["design"] < row["high"] < 0.45
    assert after["narrowed"] and not before["narrowed"]


@pytest.mark.parametrize(
    ("found", "slice_m", "words"),
    [
        ((0.5, 0.3), 0.005, "the lesser first"),
        ((0.3, 1.4), 0.005, "the lesser first"),
        ((0.9, 0.99), 0.005, "diffusion gives"),
        ((0.1, 0.2), 0.05, "less than the cut"),
    ],
)
def test_what_no_meat_can_have_is_refused(found: tuple[float, float], slice_m: float, words: str) -> None:
    with pytest.raises(UserError, match=words):
        narrowed(0.040, 4.0, found, slice_m)


@pytest.mark.parametrize("air_c", [0.0, 4.0, 10.0])
def test_saturated_air_holds_what_ashraes_formula_says(air_c: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert saturated_ratio(air_c) == pytest.approx(psychrolib.GetSatHumRatio(air_c, 101325.0), rel=0.01)


def test_what_the_fridge_takes_rises_with_face_and_time_and_is_a_band() -> None:
    low, likely, high = loss_share(0.42, 0.038, 24.0, 4.0)
    assert 0.002 < low < likely < high <= 0.1
    assert loss_share(0.42, 0.019, 12.0, 4.0)[1] == pytest.approx(likely)
    assert loss_share(0.42, 0.038, 24.0, 1.0)[1] < likely
    with pytest.raises(UserError, match="4 °C or less"):
        loss_share(0.42, 0.038, 24.0, 30.0)


def test_the_plan_of_a_chop() -> None:
    plan = plan_of(0.454, 0.035, 0.01, 24.0, "table", 6.0)
    assert plan["salt_g"] == 4.54 and plan["teaspoons"] == pytest.approx(0.76)
    assert plan["too_warm"] and plan["portion_salt_g"] == 2.0 and plan["day_salt_g"] == 5.0
    assert [row["hours"] for row in plan["centre_over_mean"]] == [0.75, 2.0, 12.0, 24.0, 48.0, 72.0]
    first, middle, last = plan["hours_to_80_percent"]
    assert first < middle < last
    assert plan["depth_m"][1] == pytest.approx(math.sqrt(2.0e-10 * 86400.0))
    assert len(plan["why_they_differ"]) >= 3


def test_the_verb_prints_and_gives_the_same_plan(capsys: pytest.CaptureFixture[str]) -> None:
    argv = ["brine", "--mass", "450g", "--thickness", "38mm", "--centre", "5%", "20%", "--fridge", "7C"]
    assert main(argv) == 0
    text = capsys.readouterr().out
    assert "Salt: 4.5 g" in text and "7 °C is too warm" in text and "your slice" in text and "WHO" in text
    assert main([*argv, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["narrowed"]
    assert main(["brine", "--mass", "450g", "--thickness", "38mm", "--centre", "90%", "20%"]) == 1
    assert "the lesser first" in capsys.readouterr().err
