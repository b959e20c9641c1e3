"""Salt in a slab against Crank's exact values (The Mathematics of Diffusion, 1975; computed from the formula)."""

from __future__ import annotations

import math

import pytest

from emberdraft.errors import UserError
from emberdraft.food.brine import (
    DOSE_BANDS,
    SOURCES,
    band_of,
    check_cut,
    concentration,
    dose_g,
    fourier,
    hours_until,
    reach,
    source_band,
    teaspoons,
)

# Fo, face, middle (x = L/2), centre
CRANK = (
    (0.02, 3.98942, 0.17528, 0.00003),
    (0.05, 2.52313, 0.72292, 0.03400),
    (0.10, 1.78429, 0.96141, 0.29290),
    (0.20, 1.27857, 0.99926, 0.72292),
    (0.30, 1.10356, 0.99999, 0.89647),
    (0.50, 1.01438, 1.00000, 0.98562),
)


@pytest.mark.parametrize(("fourier", "face", "middle", "centre"), CRANK)
def test_profile_is_that_of_the_exact_solution(fourier: float, face: float, middle: float, centre: float) -> None:
    assert concentration(0.0, fourier) == pytest.approx(face, abs=2e-5)
    assert concentration(0.5, fourier) == pytest.approx(middle, abs=2e-5)
    assert concentration(1.0, fourier) == pytest.approx(centre, abs=2e-5)


def test_at_the_start_all_salt_is_on_the_face() -> None:
    assert concentration(0.0, 0.0) == math.inf
    assert concentration(0.5, 0.0) == concentration(1.0, 0.0) == 0.0


@pytest.mark.parametrize("fourier", [0.001, 0.01, 0.049, 0.051, 0.2, 1.0])
def test_no_salt_is_lost(fourier: float) -> None:
    from scipy.integrate import quad

    total, _ = quad(lambda x: concentration(x, fourier), 0.0, 1.0, points=[math.sqrt(fourier)], epsabs=1e-9)
    assert total == pytest.approx(1.0, abs=1e-6)


def test_the_two_forms_meet() -> None:
    for depth in (0.0, 0.3, 1.0):
        below, above = concentration(depth, 0.05 - 1e-9), concentration(depth, 0.05)
        assert below == pytest.approx(above, abs=1e-6)


def test_early_on_the_face_goes_as_one_over_root_time() -> None:
    assert concentration(0.0, 0.01) == pytest.approx(1.0 / math.sqrt(math.pi * 0.01), rel=1e-6)


def test_published_hours_for_a_20_40_and_60_mm_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Centre over mean with D = 1.9e-10 m2/s (pork loin, Springer 2015), computed with Crank's series."""
    monkeypatch.setattr("emberdraft.food.brine.DESIGN_M2S", 1.9e-10)
    for thickness_m, row in (
        (0.020, (0.607, 0.922, 0.985)),
        (0.040, (0.013, 0.187, 0.422)),
        (0.060, (0.0, 0.006, 0.050)),
    ):
        for hours, centre in zip((24.0, 48.0, 72.0), row, strict=True):
            assert reach(thickness_m, hours).design == pytest.approx(centre, abs=1.5e-3)


def test_twice_as_thick_takes_four_times_as_long() -> None:
    assert hours_until(0.040, 0.8) == pytest.approx(4.0 * hours_until(0.020, 0.8), rel=1e-9)


def test_the_hours_to_a_share_of_the_centre_are_those_of_cranks_table() -> None:
    """CRANK: 0.72292 at Fo 0.2. 20 mm, 2e-10 m2/s: 0.2 * (0.01 m)^2 / 2e-10 = 100,000 s, hand calculation."""
    assert hours_until(0.020, 0.72292) == pytest.approx(100_000.0 / 3600.0, rel=1e-4)
    assert hours_until(0.020, 0.72292, 4e-10) == pytest.approx(50_000.0 / 3600.0, rel=1e-4)


def test_a_thick_cut_shortly_after_looks_like_the_half_space() -> None:
    """Constant dose near one face: the amount beyond depth x is erfc(x / (2 sqrt(D t))) of the dose."""

    from scipy.integrate import quad
    from scipy.special import erfc

    beyond, _ = quad(lambda x: concentration(x, 0.01), 0.3, 1.0)
    assert beyond == pytest.approx(erfc(0.3 / (2.0 * math.sqrt(0.01))), rel=1e-3)


def test_the_band_is_wide_and_in_order() -> None:
    band = reach(0.035, 24.0)
    assert band.low < band.design < band.high
    assert band.low < 0.01 and band.high > 0.5


def test_grams_by_mass() -> None:
    assert dose_g(0.454, 0.01) == pytest.approx(4.54)


def test_at_the_centre_the_bands_ends_are_those_of_the_coefficients() -> None:
    """There more diffusion is always more salt: nothing beyond the band was looked at, and nothing short of it."""
    band = (2.5e-11, 2.0e-10, 9.4e-10)
    told = reach(0.038, 24.0, 1.0, band)
    for said, coefficient in zip((told.low, told.design, told.high), band, strict=True):
        assert said == pytest.approx(concentration(1.0, fourier(coefficient, 24.0, 0.038)), rel=1e-9)


def test_the_band_of_the_sources_is_of_those_that_diffusion_alone_explains() -> None:
    """A second copy of the figures, so that a slip in one is seen; the papers stand in the code. A bed is left out."""
    printed = {"pork": (1.62e-10, 2.18e-10), "trapezius": (0.25e-10, 0.26e-10), "stimulated": (1.4e-10, 9.4e-10)}
    for word, band in printed.items():
        (source,) = (each for each in SOURCES if word in each.where)
        assert (source.low_m2s, source.high_m2s) == band
    assert source_band() == (0.25e-10, 2.0e-10, 9.4e-10)


def test_a_source_is_nobodys_to_change() -> None:
    with pytest.raises(AttributeError):
        SOURCES[0].low_m2s = 1.0  # type: ignore[misc]


def test_the_least_and_the_most_that_is_said_to_be_right_is_taken() -> None:
    assert (dose_g(1.0, 0.001), dose_g(30.0, 0.05)) == pytest.approx((1.0, 1500.0))
    for thickness_m, hours in ((0.005, 1000.0), (0.30, 0.1)):
        check_cut(thickness_m, hours)
    for thickness_m, hours in ((0.0049, 1.0), (0.301, 1.0), (0.03, 1001.0), (0.03, 0.0)):
        with pytest.raises(UserError):
            check_cut(thickness_m, hours)


def test_what_is_refused_is_said_in_the_units_of_the_kitchen() -> None:
    for deed, words in (
        (lambda: dose_g(0.45, 0.2), "dose 20 %"),
        (lambda: check_cut(0.5, 1.0), "thickness 500 mm"),
        (lambda: check_cut(0.03, 5000.0), "hours 5000"),
    ):
        with pytest.raises(UserError, match=words):
            deed()


@pytest.mark.parametrize(
    ("mass_kg", "dose"), [(0.45, 0.0), (0.45, 0.051), (0.45, 0.2), (0.0, 0.01), (99.0, 0.01), (0.4, math.nan)]
)
def test_a_dose_or_mass_out_of_range_is_refused(mass_kg: float, dose: float) -> None:
    with pytest.raises(UserError, match="would be right"):
        dose_g(mass_kg, dose)


def test_teaspoons_need_a_named_salt() -> None:
    with pytest.raises(UserError, match="name one of"):
        teaspoons(4.5, None)
    assert teaspoons(4.8, "dense kosher") == pytest.approx(1.0)


def test_dose_bands_rise() -> None:
    assert band_of(0.005)[0] == "light"
    assert band_of(0.01)[0] == "usual for steaks and chops"
    assert band_of(0.03)[0] == "curing, not seasoning"


def test_each_band_of_dose_ends_where_its_source_says() -> None:
    """Cooking sites: light to 0.8 %; the most acceptable patties 1.0 %, 1.5 % no more; too salty from 1.6 % corned beef
    on; the last is a share of the whole."""
    ends = [0.003, 0.008, 0.0125, 0.0175, 0.025, 1.0]
    assert [limit for limit, _, _ in DOSE_BANDS] == ends
    for (_, words, _), end in zip(DOSE_BANDS, ends, strict=True):
        assert band_of(end)[0] == words


def test_between_face_and_centre_the_band_holds_every_coefficient_of_it() -> None:
    """At a quarter of the way in, salt first comes and then goes on: the most is at neither end of the band."""
    band = (2.5e-11, 2.0e-10, 9.4e-10)
    told = reach(0.038, 24.0, 0.25, band)
    every = [
        concentration(0.25, d * 86400.0 / 0.019**2)
        for d in (band[0] * (band[2] / band[0]) ** (k / 200) for k in range(201))
    ]
    assert told.low == pytest.approx(min(every), rel=0.01)
    assert told.high == pytest.approx(max(every), rel=0.01)
    assert told.high > told.design * 0.999


def test_every_band_of_dose_has_words_and_a_source() -> None:
    limits = [limit for limit, _, _ in DOSE_BANDS]
    assert limits == sorted(limits) and all(words and source for _, words, source in DOSE_BANDS)
    assert "Meat Science" in band_of(0.01)[1]


@pytest.mark.parametrize(("thickness_m", "hours"), [(0.001, 24.0), (0.5, 24.0), (0.03, 0.0), (0.03, 5000.0)])
def test_a_cut_or_a_time_out_of_range_is_refused(thickness_m: float, hours: float) -> None:
    with pytest.raises(UserError, match="would be right"):
        reach(thickness_m, hours)


@pytest.mark.parametrize(
    ("kind", "least_g", "most_g"), [("table", 5.5, 6.5), ("dense kosher", 4.5, 5.2), ("flake kosher", 2.75, 3.0)]
)
def test_a_teaspoon_of_each_kind_weighs_what_kitchens_say(kind: str, least_g: float, most_g: float) -> None:
    """A level teaspoon on cooks' pages, g (read 2026-11): table 6, dense kosher 4.8 to 5, hollow flakes 2.8 to 3."""
    assert least_g <= 1.0 / teaspoons(1.0, kind) <= most_g
