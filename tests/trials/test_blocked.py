"""Swaps within blocks against scipy's permutation test, Holm against statsmodels, pairs needed against its power."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from emberdraft.trials.analysis import fewest_pairs
from emberdraft.trials.blocked import blocked_p, holm
from emberdraft.trials.compare import paired, pairs_needed


def test_pairs_are_the_sign_flips() -> None:
    rng = np.random.default_rng(1)
    a, b = rng.normal(0.5, 1.0, 9), rng.normal(0.0, 1.0, 9)
    blocks = [[(0, x), (1, y)] for x, y in zip(a, b, strict=True)]
    assert blocked_p(blocks, 2) == pytest.approx(paired(list(a), list(b)).p_permutation)


def test_one_block_is_the_ordinary_permutation_test() -> None:
    from scipy import stats

    rng = np.random.default_rng(2)
    groups = [rng.normal(m, 1.0, 2) for m in (0.0, 0.4, 1.0)]
    oracle = stats.permutation_test(
        tuple(groups), lambda *g: stats.f_oneway(*g).statistic, vectorized=False, n_resamples=np.inf,
        alternative="greater",
    )  # fmt: skip
    ours = blocked_p([[(t, float(v)) for t, values in enumerate(groups) for v in values]], 3)
    assert ours == pytest.approx(float(oracle.pvalue), abs=1e-3)


def test_a_treatment_of_a_single_piece_counts() -> None:
    """1, 2 and 9 in one block, 1.5 and 2 in another: six deals by two, each scored here by its own formula."""
    blocks = [[(0, 1.0), (1, 2.0), (2, 9.0)], [(0, 1.5), (1, 2.0)]]
    scores = []
    for first in itertools.permutations((-3.0, -2.0, 5.0)):
        for second in itertools.permutations((-0.25, 0.25)):
            a, b, c = first[0] + second[0], first[1] + second[1], first[2]
            scores.append(a * a / 2.0 + b * b / 2.0 + c * c)
    as_far = sum(score >= scores[0] - 1e-9 for score in scores)
    assert blocked_p(blocks, 3) == pytest.approx(as_far / 12.0)


def test_sixteen_pairs_are_still_dealt_in_every_way() -> None:
    """2 of 2^16: a sample of 20,000 could say 1 / 20,001 at the least."""
    blocks = [[(0, 10.0 + 0.1 * i), (1, 0.0)] for i in range(16)]
    assert blocked_p(blocks, 2) == pytest.approx(2.0 / 2**16)


def test_a_sampled_p_counts_the_deal_that_was() -> None:
    """(b + 1) / (m + 1) of 20,000 deals (Phipson and Smyth 2010): none of them is as far as 40 pairs all one way."""
    blocks = [[(0, 10.0 + 0.1 * i), (1, 0.0)] for i in range(40)]
    assert blocked_p(blocks, 2) == pytest.approx(1.0 / 20_001.0)


def test_many_blocks_are_sampled_near_the_t_test() -> None:
    from scipy import stats

    rng = np.random.default_rng(3)
    a, b = rng.normal(0.45, 1.0, 40), rng.normal(0.0, 1.0, 40)
    blocks = [[(0, x), (1, y)] for x, y in zip(a, b, strict=True)]
    assert blocked_p(blocks, 2, seed=5) == pytest.approx(float(stats.ttest_rel(a, b).pvalue), abs=0.02)
    assert blocked_p(blocks, 2, seed=5) == blocked_p(blocks, 2, seed=5)
    assert blocked_p(blocks, 2) == blocked_p(blocks, 2, seed=0) != blocked_p(blocks, 2, seed=1)


def test_blocks_that_differ_much_do_not_hide_a_small_effect() -> None:
    """100 between blocks, 1 between treatments: pairs see it, a heap of all would not."""
    blocks = [[(0, 100.0 * i), (1, 100.0 * i + 1.0 + 0.1 * (i % 3))] for i in range(8)]
    assert blocked_p(blocks, 2) == pytest.approx(2.0 / 2**8)


@pytest.mark.parametrize("p_values", [[0.01, 0.04, 0.03], [0.2, 0.2, 0.2], [0.001, 0.9], [0.5], [0.5, 0.98]])
def test_holm_is_statsmodels(p_values: list[float]) -> None:
    from statsmodels.stats.multitest import multipletests

    assert holm(p_values) == pytest.approx(list(multipletests(p_values, method="holm")[1]))


@pytest.mark.parametrize("effect", [0.4, 0.7, 1.0, 1.5])
def test_pairs_needed_are_statsmodels(effect: float) -> None:
    from statsmodels.stats.power import TTestPower

    exact = TTestPower().solve_power(effect_size=effect, alpha=0.05, power=0.8, alternative="two-sided")
    assert pairs_needed(effect, 1.0) == int(np.ceil(exact))


def test_six_pairs_are_the_fewest_that_ever_could() -> None:
    """2 / 2^6 = .03125; five all the same way give .0625. Three comparisons at once need more: 2 / 2^7 < .05 / 3."""
    assert fewest_pairs(0.05) == 6
    assert fewest_pairs(0.05 / 3.0) == 7
    five = paired([1.0, 2.0, 3.0, 4.0, 5.0], [0.0] * 5)
    assert five.p_permutation == five.p_wilcoxon == pytest.approx(0.0625)
