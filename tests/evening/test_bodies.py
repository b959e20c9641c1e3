"""Pieces before lighting: against times of the trade, the wet bulb of psychrolib, and properties that must hold."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from emberdraft.evening.bodies import plateau_c, time_on_s
from emberdraft.evening.cuts import KINDS, cut_of
from emberdraft.evening.wanted import Food
from emberdraft.food.slabs import CONVECTIVE_SHARE

psychrolib.SetUnitSystem(psychrolib.SI)
PIT = np.random.default_rng(1).standard_normal((300, 2))
# Cut, mass or thickness, pull, pit, and the hours of the trade. Sources are pages found by search:
# shoulder: "Question: How long does it take to smoke a 5 lb boneless pork shoulder?" (paleozonerecipes.com), 90 to
#   95 min a pound at 250 degF: 8.3 to 8.7 h; a half more or less is common practice, no source.
# brisket: "How Long to Smoke a Brisket at 250F" (bbqdryrubs.com), 1 h 15 min a pound unwrapped: 13.8 h for 11 lb;
#   50 min to 1 h a pound wrapped: 9.2 to 11 h; 10 to 14 h unwrapped is common practice.
# ribs: "How long does it take to smoke baby back ribs at 225?" (locke-movie.com): 3 lb, 5 h at 250 degF.
# chop: "Correct Time and Temp for a Pork Chop" (visualfoodie.com): 4 cm, 40 min at 135 degC with the sear.
# split bird: common practice, no source.
HOURS = (
    ("shoulder", {"mass_kg": 2.5}, 93.0, 121.0, 8.0, 10.0),
    ("brisket", {"mass_kg": 5.0}, 93.0, 121.0, 10.0, 14.0),
    ("split bird", {"mass_kg": 1.8}, 74.0, 150.0, 1.0, 1.5),
    ("ribs", {"mass_kg": 1.36}, 93.0, 121.0, 4.0, 6.0),
    ("chop", {"thickness_m": 0.04}, 60.0, 135.0, 0.6, 1.0),
)


def median_h(food: Food, pit_c: float) -> float:
    return float(np.median(time_on_s(food, pit_c, PIT, np.random.default_rng(2)))) / 3600.0


@pytest.mark.parametrize(("cut", "size", "pull_c", "pit_c", "low_h", "high_h"), HOURS, ids=[row[0] for row in HOURS])
def test_the_middle_is_what_the_trade_says(cut, size, pull_c, pit_c, low_h, high_h):
    assert low_h <= median_h(Food("A", cut, cut, pull_c, **size), pit_c) <= high_h


def test_wrapping_ends_the_plateau():
    """Wrapped, a brisket of 5 kg is said to take a fifth to a third less (source above)."""
    bare = median_h(Food("A", "brisket", "brisket", 93.0, mass_kg=5.0), 121.0)
    wrapped = median_h(Food("A", "brisket", "brisket", 93.0, mass_kg=5.0, wrap_c=70.0), 121.0)
    assert 0.55 * bare < wrapped < 0.85 * bare


@pytest.mark.parametrize("vapour_pa", [1500.0, 3000.0, 5000.0, 9000.0])
@pytest.mark.parametrize("pit_c", [107.0, 121.0, 135.0])
def test_an_open_wet_face_that_sees_no_radiation_stands_at_the_wet_bulb(pit_c, vapour_pa):
    """Against psychrolib, ASHRAE Fundamentals 2017, within 1 degC."""
    humid = psychrolib.GetHumRatioFromVapPres(vapour_pa, 101325.0)
    wet_bulb_c = psychrolib.GetTWetBulbFromHumRatio(pit_c, humid, 101325.0)
    assert plateau_c(pit_c, 1.0 / CONVECTIVE_SHARE, vapour_pa) == pytest.approx(wet_bulb_c, abs=1.0)


def test_the_plateau_of_a_large_cut_is_where_cooks_see_it():
    """65 to 77 degC, 150 to 170 degF: "The BBQ Stall" and others, common practice; above the wet bulb in any case."""
    said = [plateau_c(121.0, KINDS["shoulder"].wet, pa) for pa in (1500.0, 3000.0, 5000.0)]
    assert all(65.0 < at_c < 77.0 for at_c in said)
    assert said[0] > plateau_c(121.0, 1.0 / CONVECTIVE_SHARE, 1500.0)


def test_it_takes_longer_when_thicker_colder_or_pulled_hotter_and_less_in_a_hotter_pit():
    plain = median_h(Food("A", "chop", "chop", 57.0, thickness_m=0.04), 115.0)
    assert median_h(Food("A", "chop", "chop", 57.0, thickness_m=0.05), 115.0) > plain
    assert median_h(Food("A", "chop", "chop", 57.0, start_c=15.0, thickness_m=0.04), 115.0) < plain
    assert median_h(Food("A", "chop", "chop", 62.0, thickness_m=0.04), 115.0) > plain
    assert median_h(Food("A", "chop", "chop", 57.0, thickness_m=0.04), 135.0) < plain


def test_a_cut_that_is_not_named_goes_by_thickness_and_by_how_far_it_is_cooked():
    assert cut_of("brisket", None, 5.0, 93.0) == "brisket"
    assert cut_of(None, 0.04, 0.4, 57.0) == "chop"
    assert cut_of(None, 0.12, 2.5, 57.0) == "roast"
    assert cut_of(None, 0.12, 2.5, 93.0) == "shoulder"
    assert cut_of(None, None, 2.5, 93.0) == "shoulder"
