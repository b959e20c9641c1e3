"""Paired comparison against Student's own data (1908) and scipy as an independent oracle."""

from __future__ import annotations

import math

import numpy as np
import pytest

from emberdraft.errors import UserError
from emberdraft.trials.compare import friedman, paired, pairs_needed
from tests.proof.fixture import Proof

# Student, The probable error of a mean, Biometrika 6 (1908): extra hours of sleep, two drugs, ten people.
DRUG_1 = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
DRUG_2 = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]


def test_students_sleep_data() -> None:
    """R's paired t-test as printed in Meys and de Vries, R for Dummies: t -4.0621, df 9, p 0.002833, -2.4598858 to
    -0.7001142. Wilcoxon by hand: one zero is dropped, the other nine all point one way, 2 of 2^9 patterns do."""
    result = paired(DRUG_1, DRUG_2)
    assert result.mean == pytest.approx(-1.58)
    assert result.t == pytest.approx(-4.0621, abs=5e-5)
    assert result.p_t == pytest.approx(0.002833, abs=5e-7)
    assert (result.low, result.high) == (pytest.approx(-2.4598858, abs=5e-8), pytest.approx(-0.7001142, abs=5e-8))
    assert result.p_wilcoxon == pytest.approx(2 / 2**9)


@pytest.mark.parametrize(
    ("differences", "patterns"),
    [
        # Zeros dropped, ranks 1 to 5, the negative ones 1 and 2: rank sums up to 3 are {}, 1, 2, 3, 1 + 2.
        ((0.0, 0.0, -1.0, -2.0, 3.0, 4.0, 5.0), 5),
        # Ties at their mid-ranks 1.5 1.5 3.5 3.5 5, the negative one 1.5: up to it are {} and either 1.5.
        ((-1.0, 1.0, 2.0, 2.0, 3.0), 3),
    ],
)
def test_wilcoxon_with_zeros_and_ties_is_counted_by_hand(differences: tuple[float, ...], patterns: int) -> None:
    """Of 2^5 sign patterns, both tails. Zeros are discarded and ties get average ranks, as Wilcoxon (1945) had it."""
    assert paired(differences, [0.0] * len(differences)).p_wilcoxon == pytest.approx(2 * patterns / 2**5)


def test_wilcoxon_drops_the_zeros_that_r_drops() -> None:
    """P. Dalgaard on r-help, 12 January 2006: two zeros, R says V = 1. Eight ranks are left; up to 1 are {} and 1."""
    day_4 = [540.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 300.0, 720.0, 480.0]
    day_1 = [438.0, 343.0, 1.0, 475.0, 1.0, 562.0, 500.0, 435.0, 1045.0, 890.0]
    assert paired(day_4, day_1).p_wilcoxon == pytest.approx(2 * 2 / 2**8)


def test_friedman_of_wines_is_that_of_the_textbook_formula() -> None:
    """Three judges of three wines that all rank 1, 2, 3: chi2 = 12/(3 3 4) (9 + 36 + 81) - 3 3 4 = 6 with 2 degrees of
    freedom, whose tail is exp(-6/2): counted by hand from Friedman, J. Am. Stat. Assoc. 32 (1937) 675."""
    assert friedman([[1.0, 2.0, 3.0], [0.1, 0.4, 0.9], [10.0, 11.0, 40.0]]) == pytest.approx(math.exp(-3.0))


def test_friedman_of_ties_by_hand() -> None:
    """Ranks 1.5 1.5 3, 1 2 3, 1 2 3, 1 2 3: sums 4.5 7.5 12, chi2 = 12 (4.5^2 + 7.5^2 + 12^2)/(4 3 4) - 3 4 4 = 7.125,
    over 1 - (2^3 - 2)/(4 3 8) for one tie of two (Conover, Practical Nonparametric Statistics; from memory)."""
    table = [[1.0, 1.0, 3.0], [1.0, 2.0, 3.0], [1.0, 2.0, 3.0], [1.0, 2.0, 3.0]]
    assert friedman(table) == pytest.approx(math.exp(-7.125 / (1.0 - 6.0 / 96.0) / 2.0))


def test_the_three_tests_agree_with_scipy() -> None:
    from scipy import stats

    rng = np.random.default_rng(4)
    a, b = rng.normal(0.4, 1.0, 11), rng.normal(0.0, 1.0, 11)
    result = paired(list(a), list(b))
    assert result.p_t == pytest.approx(float(stats.ttest_rel(a, b).pvalue))
    assert result.p_wilcoxon == pytest.approx(float(stats.wilcoxon(a, b, method="exact").pvalue))
    oracle = stats.permutation_test(
        (a - b,), lambda d: d.mean(), permutation_type="samples", n_resamples=np.inf, alternative="two-sided"
    )
    assert result.p_permutation == pytest.approx(float(oracle.pvalue), abs=2e-3)


def test_many_pairs_are_sampled_and_close_to_t() -> None:
    rng = np.random.default_rng(5)
    a, b = rng.normal(0.5, 1.0, 40), rng.normal(0.0, 1.0, 40)
    result = paired(list(a), list(b))
    assert result.p_permutation == pytest.approx(result.p_t, abs=0.02)


def test_friedman_of_blocks_that_are_all_tied_shows_nothing() -> None:
    assert friedman([[2.0, 2.0, 2.0], [3.0, 3.0, 3.0]]) == 1.0


@pytest.mark.parametrize("blocks", [[[1.0, 2.0, 3.0]], [[1.0, 2.0], [2.0, 1.0]], [1.0, 2.0, 3.0]])
def test_one_block_or_two_treatments_are_nothing_for_friedman(blocks: list[list[float]]) -> None:
    with pytest.raises(UserError, match="three or more treatments"):
        friedman(blocks)


def test_sixteen_pairs_are_counted_and_seventeen_are_sampled() -> None:
    """All one way: 2 of 2^16 patterns; of a sample of 20,000 at the least one, that which was seen."""
    sixteen, seventeen = ([1.0 + 0.1 * i for i in range(pairs)] for pairs in (16, 17))
    assert paired(sixteen, [0.0] * 16).p_permutation == pytest.approx(2.0 / 2**16)
    assert paired(seventeen, [0.0] * 17).p_permutation >= 1.0 / 20_001.0


def test_an_effect_that_no_panel_of_cooks_would_show_is_called_so() -> None:
    """(z.975 + z.8)^2 = 7.85 over the squared share: a hundredth of the scatter takes 78,500 pairs, a tenth 787."""
    with pytest.raises(UserError, match="more than 8,192 pairs"):
        pairs_needed(0.01, 1.0)
    assert pairs_needed(0.1, 1.0) == pytest.approx(787, abs=2)


@pytest.mark.parametrize(("effect", "spread"), [(0.0, 1.0), (1.0, 0.0), (1.0, -1.0)])
def test_no_effect_and_no_scatter_have_no_number_of_pairs(effect: float, spread: float) -> None:
    with pytest.raises(UserError, match="can never be shown"):
        pairs_needed(effect, spread)


@pytest.mark.parametrize(("effect", "pairs"), [(0.5, 34), (0.8, 15), (1.0, 10)])
def test_pairs_needed_are_the_textbooks(effect: float, pairs: int) -> None:
    """Paired t, alpha .05 two-sided, power .80: 34, 15 and 10 pairs (Cohen 1988's tables; G*Power gives the same;
    from memory, and recomputed with the noncentral t)."""
    assert pairs_needed(effect, 1.0) == pairs


def _null_trials(count: int, pairs: int, seed: int) -> tuple[float, float]:
    rng = np.random.default_rng(seed)
    declared = covered = 0
    for _ in range(count):
        result = paired(list(rng.normal(size=pairs)), list(rng.normal(size=pairs)))
        declared += result.p_t <= 0.05
        covered += result.low <= 0.0 <= result.high
    return declared / count, covered / count


def test_a_sample_of_null_trials_is_rarely_declared_different() -> None:
    declared, covered = _null_trials(200, 6, seed=11)
    assert declared <= 0.09
    assert covered >= 0.91


@pytest.mark.prove("trials")
def test_two_thousand_null_trials(proof: Proof) -> None:
    declared, covered = _null_trials(2000, 8, seed=12)
    proof.promise("null trials declared different at 5 %", declared, at_most=0.06)
    proof.promise("95 % intervals that cover", covered, at_least=0.93, at_most=0.97)


@pytest.mark.prove("trials")
def test_power_is_as_planned(proof: Proof) -> None:
    from scipy import stats

    pairs, rng, seen = pairs_needed(1.0, 1.0), np.random.default_rng(13), 0
    for _ in range(2000):
        seen += paired(list(rng.normal(1.0, 1.0, pairs)), [0.0] * pairs).p_t <= 0.05
    true = float(
        1.0
        - stats.nct.cdf(stats.t.ppf(0.975, pairs - 1), pairs - 1, pairs**0.5)
        + stats.nct.cdf(-stats.t.ppf(0.975, pairs - 1), pairs - 1, pairs**0.5)
    )
    off = round(abs(seen / 2000 - true), 4)
    proof.promise(f"power with {pairs} pairs, off the plan's {true:.3f}", off, at_most=0.03, note=f"{seen / 2000}")


@pytest.mark.parametrize(
    ("a", "b"), [([1.0], [2.0]), ([1.0, 2.0], [1.0]), ([1.0, 2.0], [0.0, 1.0]), ([1.0, float("nan")], [0.0, 0.5])]
)
def test_what_can_show_nothing_is_refused(a: list[float], b: list[float]) -> None:
    with pytest.raises(UserError):
        paired(a, b)
