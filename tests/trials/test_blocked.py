"""Swaps within blocks against scipy's permutation test, Holm against statsmodels, pairs needed against its power."""

from __future__ import annotations

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


def test_many_blocks_are_sampled_near_the_t_test() -> None:
    from scipy import stats

    rng = np.random.default_rng(3)
    a, b = rng.normal(0.45, 1.0, 40), rng.normal(0.0, 1.0, 40)
    blocks = [[(0, x), (1, y)] for x, y in zip(a, b, strict=True)]
    assert blocked_p(blocks, 2, seed=5) == pytest.approx(float(stats.ttest_rel(a, b).pvalue), abs=0.02)
    assert blocked_p(blocks, 2, seed=5) == blocked_p(blocks, 2, seed=5)


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
