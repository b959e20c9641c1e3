"""Sensory tests against exact counts in whole numbers (ISO 4120 triangle, ISO 10399 duo-trio, ISO 5495 preference)."""

from __future__ import annotations

import math
from fractions import Fraction
from math import comb

import pytest
import scipy.stats

from emberdraft.errors import UserError
from emberdraft.trials import tasting
from emberdraft.trials.tasting import (
    DUO_TRIO,
    PREFERENCE,
    TRIANGLE,
    Method,
    d_prime,
    discriminators,
    fewest_correct,
    fewest_tasters,
    p_value,
    panel_for,
    power,
    share_right,
    two_people,
    verdict,
)

CHANCE = {"triangle": (TRIANGLE, Fraction(1, 3)), "duo-trio": (DUO_TRIO, Fraction(1, 2))}


def fewest_by_counting(total: int, chance: Fraction, alpha: Fraction) -> int | None:
    """The fewest right answers whose exact binomial tail is at most alpha: whole numbers, no library."""
    tail, fewest = Fraction(0), None
    for right in range(total, -1, -1):
        tail += comb(total, right) * chance**right * (1 - chance) ** (total - right)
        if tail > alpha:
            return fewest
        fewest = right
    return fewest


@pytest.mark.parametrize("alpha", ["0.20", "0.10", "0.05", "0.01", "0.001"])
@pytest.mark.parametrize("total", [*range(5, 51), 60, 84, 100])
def test_the_fewest_right_answers_are_those_of_an_exact_count(total: int, alpha: str) -> None:
    """ISO 4120 (triangle), ISO 10399 (duo-trio) and ISO 5495 (two-sided preference) define them so."""
    for method, chance in CHANCE.values():
        assert fewest_correct(method, total, float(alpha)) == fewest_by_counting(total, chance, Fraction(alpha))
    two_sided = fewest_by_counting(total, Fraction(1, 2), Fraction(alpha) / 2)
    assert fewest_correct(PREFERENCE, total, float(alpha)) == two_sided


@pytest.mark.parametrize(("total", "fewest"), [(6, 5), (12, 8), (18, 10), (24, 13), (30, 15), (36, 18)])
def test_the_triangle_at_five_percent_is_as_printed(total: int, fewest: int) -> None:
    """As printed in ISO 4120 and in every course on it; from memory, the standard is not at hand."""
    assert fewest_correct(TRIANGLE, total, 0.05) == fewest


@pytest.mark.parametrize(
    ("correct", "total", "p"),
    [(8, 12, 0.01876), (13, 24, 0.02844), (15, 30, 0.04348), (18, 36, 0.02835), (12, 30, 0.27614)],
)
def test_exact_p_of_the_triangle(correct: int, total: int, p: float) -> None:
    """Exact binomial tail, computed with scipy; 9 of 12 is significant at 1 % in printed lecture notes."""
    assert p_value(TRIANGLE, correct, total) == pytest.approx(p, abs=5e-6)
    assert p_value(TRIANGLE, 9, 12) < 0.01


@pytest.mark.parametrize(("correct", "total", "p"), [(6, 6, 0.03125), (8, 8, 0.0078125), (9, 10, 0.021484375)])
def test_exact_p_two_sided_is_the_same_from_either_side(correct: int, total: int, p: float) -> None:
    assert p_value(PREFERENCE, correct, total) == pytest.approx(p)
    assert p_value(PREFERENCE, total - correct, total) == pytest.approx(p)


@pytest.mark.parametrize(("share", "panel"), [(0.5, 23), (0.4, 40), (0.3, 66), (0.2, 147)])
def test_panel_sizes_of_iso_4120(share: float, panel: int) -> None:
    """ISO 4120 Table A.3, alpha = beta = 5 % (from memory; recomputed exactly)."""
    assert panel_for(TRIANGLE, 0.05, 0.05, share) == panel


@pytest.mark.parametrize(("share", "panel"), [(0.5, 42), (0.4, 67), (0.3, 119), (0.2, 268)])
def test_panel_sizes_of_the_duo_trio(share: float, panel: int) -> None:
    assert panel_for(DUO_TRIO, 0.05, 0.05, share) == panel


@pytest.mark.parametrize(
    ("method", "shares"),
    [
        (TRIANGLE, (0.4180, 0.6048, 0.7814)),
        (DUO_TRIO, (0.5825, 0.7468, 0.8765)),
        (PREFERENCE, (0.7602, 0.9214, 0.9831)),
    ],
)
def test_share_right_at_d_prime_1_2_3(method: Method, shares: tuple[float, ...]) -> None:
    """The models of Ennis, The power of sensory discrimination methods, J. Sensory Studies 8 (1993) 353. Its tables are
    not at hand: these values are the models integrated apart from this code, not copied from there."""
    assert [round(share_right(method, d), 4) for d in (1.0, 2.0, 3.0)] == list(shares)


@pytest.mark.parametrize(("correct", "total", "d"), [(13, 24, 1.681), (15, 30, 1.466), (8, 12, 2.321)])
def test_d_prime_of_observed_counts(correct: int, total: int, d: float) -> None:
    assert d_prime(TRIANGLE, correct, total) == pytest.approx(d, abs=1e-3)


def test_d_prime_at_the_ends() -> None:
    assert d_prime(TRIANGLE, 3, 12) == 0.0
    assert d_prime(TRIANGLE, 12, 12) == math.inf


def test_discriminators_by_abbott() -> None:
    assert discriminators(TRIANGLE, 18, 36) == pytest.approx(1.5 * 0.5 - 0.5)
    assert discriminators(DUO_TRIO, 10, 30) == 0.0


def test_five_tasters_two_sided_can_never_show_anything_and_six_can() -> None:
    assert fewest_tasters(PREFERENCE, 0.05) == 6
    assert "cannot show a difference" in verdict(PREFERENCE, 5, 5)
    assert "6 are the fewest" in verdict(PREFERENCE, 5, 5)


def test_two_people_can_never_show_a_triangle_difference() -> None:
    assert "cannot show" in verdict(TRIANGLE, 2, 2)
    # Three of three are the fewest (1/27); by two, two answers each: 4 of 4 (1/81), for 3 of 4 chance does in 9/81.
    assert "With 2 answers each, 4 of 4 the same way" in two_people(TRIANGLE)


def test_a_result_that_is_not_significant_is_not_called_alike() -> None:
    assert "not proof that they are alike" in verdict(TRIANGLE, 5, 12)


def test_what_half_who_can_tell_would_show_is_said() -> None:
    # Triangle, 12 answers, 8 needed. Half can tell, the others guess: 2/3 are right; P(8 or more of 12) = 0.6315.
    expected = scipy.stats.binom.sf(7, 12, 2.0 / 3.0)
    assert expected == pytest.approx(0.6315, abs=1e-4)
    assert f"{expected:.0%} of such panels" in verdict(TRIANGLE, 5, 12)


def test_a_share_that_no_panel_would_show_is_named_in_percent(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tasting, "LARGEST_PANEL", 10)
    with pytest.raises(UserError, match="no panel of up to 10 tasters would show 20 % discriminators"):
        panel_for(TRIANGLE, 0.05, 0.05, 0.2)


def test_power_is_the_binomial_tail_and_grows() -> None:
    assert power(TRIANGLE, 23, 0.05, 0.5) >= 0.95 > power(TRIANGLE, 22, 0.05, 0.5)


def test_the_smallest_and_the_largest_panel_are_taken() -> None:
    assert p_value(TRIANGLE, 1, 1) == pytest.approx(1.0 / 3.0)
    assert p_value(TRIANGLE, 1000, 1000) < 1e-300


@pytest.mark.parametrize(("correct", "total"), [(7, 6), (-1, 6), (0, 0), (1, 2000)])
def test_counts_that_cannot_be_are_refused(correct: int, total: int) -> None:
    with pytest.raises(UserError, match="would be right"):
        p_value(TRIANGLE, correct, total)
