"""Was it real? Paired differences over cooks or roasts, with an interval, and how many repeats it would take.

The replicate is the cook (or the roast): two pieces of one roast in one cook are one pair, not two results.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import scipy  # its parts are loaded where they are first used: what starts needs none

from emberdraft.errors import UserError

EXACT_PAIRS = 16  # 65,536 sign patterns; above it a sample of them
SAMPLED = 20_000
MOST_PAIRS = 10_000


@dataclass(frozen=True)
class Paired:
    """Differences a - b of pairs: mean with its 95 % interval (Student), and three tests of 'no difference'."""

    pairs: int
    mean: float
    low: float
    high: float
    p_t: float
    p_wilcoxon: float
    p_permutation: float
    t: float


def paired(a: Sequence[float], b: Sequence[float], seed: int = 0) -> Paired:
    """Compare two treatments measured on the same pairs. Raises UserError when nothing can be said."""
    if len(a) != len(b):
        raise UserError(f"{len(a)} and {len(b)} values: as many of one as of the other would be right")
    differences = np.asarray(a, dtype=float) - np.asarray(b, dtype=float)
    if differences.size < 2:
        raise UserError("one pair can show nothing of chance: two or more are needed, six or more to be persuasive")
    if not np.all(np.isfinite(differences)):
        raise UserError("a value is missing: leave the pair out, and say so")
    mean, spread = float(differences.mean()), float(differences.std(ddof=1))
    if spread == 0.0:
        raise UserError("all differences are the same: the scale is too coarse to tell chance from effect")
    error = spread / differences.size**0.5
    reach = float(scipy.special.stdtrit(differences.size - 1, 0.975)) * error
    t = mean / error
    p_t = float(2.0 * scipy.special.stdtr(differences.size - 1, -abs(t)))
    return Paired(
        differences.size,
        mean,
        mean - reach,
        mean + reach,
        p_t,
        _wilcoxon(differences),
        _permutation(differences, seed),
        t,
    )


def _wilcoxon(differences: np.ndarray) -> float:
    """Signed ranks, zeros dropped, exact null distribution (with ties by counting sign patterns of the mid-ranks)."""
    kept = differences[differences != 0.0]
    ranks = scipy.stats.rankdata(np.abs(kept))
    return _sign_p(ranks * np.sign(kept), 0)


def _permutation(differences: np.ndarray, seed: int) -> float:
    """How often a random swap within each pair gives a mean at least as far from zero."""
    return _sign_p(differences, seed)


def _sign_p(values: np.ndarray, seed: int) -> float:
    seen = abs(float(values.sum())) - 1e-9 * float(np.abs(values).sum())
    if values.size <= EXACT_PAIRS:
        signs = _all_signs(values.size)
        return float(np.mean(np.abs(signs @ np.abs(values)) >= seen))
    signs = np.random.default_rng(seed).choice((1.0, -1.0), size=(SAMPLED, values.size))
    return float((np.count_nonzero(np.abs(signs @ np.abs(values)) >= seen) + 1) / (SAMPLED + 1))


@cache
def _all_signs(count: int) -> np.ndarray:
    """Every pattern of signs, one a row."""
    bits = np.arange(2**count)[:, None] >> np.arange(count)[None, :]
    return np.asarray(1.0 - 2.0 * (bits & 1))


def friedman(blocks: Sequence[Sequence[float]]) -> float:
    """p of 'no difference' for three or more treatments (columns) over blocks (rows); Friedman's rank test."""
    table = np.asarray(blocks, dtype=float)
    if table.ndim != 2 or table.shape[0] < 2 or table.shape[1] < 3:
        raise UserError("two or more blocks of three or more treatments would be right")
    if np.all(table == table[:, :1]):
        return 1.0  # every block says the same of all: nothing to rank
    return float(scipy.stats.friedmanchisquare(*table.T).pvalue)


def pairs_needed(effect: float, spread: float, alpha: float = 0.05, beta: float = 0.2) -> int:
    """Pairs to see a mean difference `effect` when differences scatter by `spread` (1 sigma): noncentral t."""
    if effect == 0.0 or spread <= 0.0:
        raise UserError("an effect of 0 can never be shown, and the scatter must be above 0")
    low, high = 1, 2
    while _missed(high, effect / spread, alpha) > beta:
        low, high = high, 2 * high
        if high > MOST_PAIRS:
            raise UserError(f"more than {low:,} pairs to see {effect:g} in a scatter of {spread:g}: cannot be shown")
    while high - low > 1:  # more pairs never miss more often
        middle = (low + high) // 2
        low, high = (low, middle) if _missed(middle, effect / spread, alpha) <= beta else (middle, high)
    return high


def _missed(pairs: int, share: float, alpha: float) -> float:
    """How often that many pairs do not show an effect of `share` times the scatter."""
    critical, shift = scipy.special.stdtrit(pairs - 1, 1.0 - alpha / 2.0), abs(share) * pairs**0.5
    return float(scipy.special.nctdtr(pairs - 1, shift, critical) - scipy.special.nctdtr(pairs - 1, shift, -critical))
