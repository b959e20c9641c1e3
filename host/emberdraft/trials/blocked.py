"""Swaps within blocks: what chance alone would have done, had it handed the treatments out otherwise.

The reference distribution is the assignment itself (Fisher's randomisation test, stratified by block): within each
block the labels are dealt again, all ways when they are few, else a sample of them.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence

import numpy as np

MOST_WAYS = 70_000
SAMPLED = 20_000
Block = Sequence[tuple[int, float]]  # (treatment, value) of each piece


def blocked_p(blocks: Sequence[Block], treatments: int, seed: int = 0) -> float:
    """p of 'no difference between any of the treatments', by dealing labels again within each block.

    The statistic is the weighted sum of squared treatment means of values with their block's mean taken off; for two
    treatments and pairs it is the square of the mean difference, so this is the paired permutation test.
    """
    counts = np.zeros(treatments)
    for block in blocks:
        for treatment, _ in block:
            counts[treatment] += 1
    dealt = np.array([_sums(block, [t for t, _ in block], treatments) for block in blocks])
    seen = _score(dealt.sum(axis=0)[None, :], counts)[0]
    ways = [_ways(block) for block in blocks]
    if math.prod(ways) <= MOST_WAYS:
        totals, extra = _all_totals(blocks, treatments), 0
    else:
        totals, extra = _sampled_totals(blocks, treatments, seed), 1  # the deal that was is one of the sample
    as_far = np.count_nonzero(_score(totals, counts) >= seen * (1.0 - 1e-9) - 1e-12)
    return float((as_far + extra) / (len(totals) + extra))


def holm(p_values: Sequence[float]) -> list[float]:
    """Holm's step-down adjustment: the chance of a single false alarm in the whole family stays at its level."""
    adjusted, highest = [0.0] * len(p_values), 0.0
    for rank, place in enumerate(sorted(range(len(p_values)), key=lambda i: p_values[i])):
        highest = max(highest, min(1.0, (len(p_values) - rank) * p_values[place]))
        adjusted[place] = highest
    return adjusted


def _sums(block: Block, labels: Sequence[int], treatments: int) -> np.ndarray:
    mean = sum(value for _, value in block) / len(block)
    sums = np.zeros(treatments)
    for label, (_, value) in zip(labels, block, strict=True):
        sums[label] += value - mean
    return sums


def _score(totals: np.ndarray, counts: np.ndarray) -> np.ndarray:
    used = counts > 0
    return np.asarray((totals[:, used] ** 2 / counts[used]).sum(axis=1))


def _ways(block: Block) -> int:
    """How many different deals a block has."""
    repeats = Counter(treatment for treatment, _ in block).values()
    return math.factorial(len(block)) // math.prod(math.factorial(n) for n in repeats)


def _all_totals(blocks: Sequence[Block], treatments: int) -> np.ndarray:
    totals = np.zeros((1, treatments))
    for block in blocks:
        deals = sorted(set(itertools.permutations([t for t, _ in block])))
        here = np.array([_sums(block, deal, treatments) for deal in deals])
        totals = (totals[:, None, :] + here[None, :, :]).reshape(-1, treatments)
    return totals


def _sampled_totals(blocks: Sequence[Block], treatments: int, seed: int) -> np.ndarray:
    chance = np.random.default_rng(seed)
    totals = np.zeros((SAMPLED, treatments))
    for block in blocks:
        values = np.array([value for _, value in block])
        dealt = chance.permuted(np.tile([t for t, _ in block], (SAMPLED, 1)), axis=1)
        centred = values - values.mean()
        for treatment in range(treatments):
            totals[:, treatment] += (dealt == treatment) @ centred
    return totals
