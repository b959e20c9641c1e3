"""Blind tasting: what a count of right answers shows, by the exact binomial the sensory standards use.

Triangle (ISO 4120): which of three is the odd one, 1/3 by chance. Duo-trio (ISO 10399): which of two is the reference,
1/2. Preference and difference (ISO 5495, two-sided): which of two is liked better, or is more of what is asked, 1/2.
Discriminators pd by Abbott's formula; d' by
Thurstonian models of triangle, duo-trio and 2-AFC (Ennis, J. Sensory Studies 8 (1993) 353; integrals below).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import scipy  # its parts are loaded where they are first used: what starts needs none

from emberdraft.errors import UserError

LARGEST_PANEL = 1000


@dataclass(frozen=True)
class Method:
    """A way to taste: its name, the chance of a right answer by guessing, one- or two-sided, what a taster is asked."""

    name: str
    chance: float
    two_sided: bool
    asked: str


TRIANGLE = Method("triangle", 1.0 / 3.0, False, "Two of these three are alike. Which is the odd one?")
DUO_TRIO = Method("duo-trio", 0.5, False, "One of these two is the same as the reference. Which?")
PREFERENCE = Method("preference", 0.5, True, "Which of these two do you like better?")
DIFFERENCE = Method("difference", 0.5, True, "Which of these two is more so?")
METHODS = {method.name: method for method in (TRIANGLE, DUO_TRIO, PREFERENCE, DIFFERENCE)}


def p_value(method: Method, correct: int, total: int) -> float:
    """Probability of a count at least as far from chance, were there no difference. Exact binomial."""
    _check(correct, total)
    upper = float(scipy.stats.binom.sf(correct - 1, total, method.chance))
    if not method.two_sided:
        return upper
    return min(1.0, 2.0 * min(upper, float(scipy.stats.binom.cdf(correct, total, method.chance))))


@cache
def fewest_correct(method: Method, total: int, alpha: float) -> int | None:
    """The smallest count that is significant at `alpha`; None when even all of them would not be."""
    level = alpha / 2.0 if method.two_sided else alpha
    for correct in range(math.ceil(method.chance * total), total + 1):
        if scipy.stats.binom.sf(correct - 1, total, method.chance) <= level:
            return correct
    return None


@cache
def fewest_tasters(method: Method, alpha: float) -> int:
    """The smallest panel that could ever be significant: all of them right."""
    return next(n for n in range(1, LARGEST_PANEL) if fewest_correct(method, n, alpha) is not None)


@cache
def two_people(method: Method, alpha: float = 0.05) -> str:
    """What two people tasting by turns can ever show, in one sentence."""
    answers = fewest_tasters(method, alpha)
    rounds = -(-answers // 2)
    needed = fewest_correct(method, 2 * rounds, alpha)
    return (
        f"Two people, one answer each, can never show anything by a {method.name} test. With {rounds} answers each, "
        f"{needed} of {2 * rounds} the same way would show that these two can tell, not that people in general can."
    )


@cache
def power(method: Method, total: int, alpha: float, discriminators: float) -> float:
    """Probability of a significant count when a share `discriminators` (pd) of the tasters really tell them apart."""
    needed = fewest_correct(method, total, alpha)
    if needed is None:
        return 0.0
    right = method.chance + (1.0 - method.chance) * discriminators
    return float(scipy.stats.binom.sf(needed - 1, total, right))


def panel_for(method: Method, alpha: float, beta: float, discriminators: float) -> int:
    """The first panel size whose power is at least 1 - beta."""
    for total in range(2, LARGEST_PANEL):
        if power(method, total, alpha, discriminators) >= 1.0 - beta:
            return total
    raise UserError(f"no panel of up to {LARGEST_PANEL} tasters would show {100 * discriminators:g} % discriminators")


def discriminators(method: Method, correct: int, total: int) -> float:
    """Estimated share who really tell them apart (Abbott): never below 0."""
    return max(0.0, (correct / total - method.chance) / (1.0 - method.chance))


def share_right(method: Method, d_prime: float) -> float:
    """Probability of a right answer at a sensory distance d' (Ennis 1993)."""
    if method.two_sided:
        return float(scipy.special.ndtr(d_prime / math.sqrt(2.0)))
    if method is DUO_TRIO:
        a, b = scipy.special.ndtr(d_prime / math.sqrt(2.0)), scipy.special.ndtr(d_prime / math.sqrt(6.0))
        return float(1.0 - a - b + 2.0 * a * b)
    return _triangle_right(d_prime)


def _triangle_right(d_prime: float) -> float:
    def density(z: float) -> float:
        up = scipy.special.ndtr(-z * math.sqrt(3.0) + d_prime * math.sqrt(2.0 / 3.0))
        down = scipy.special.ndtr(-z * math.sqrt(3.0) - d_prime * math.sqrt(2.0 / 3.0))
        return float(2.0 * (up + down) * math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi))

    return float(scipy.integrate.quad(density, 0.0, 12.0)[0])


def d_prime(method: Method, correct: int, total: int) -> float:
    """Sensory distance that makes the observed share likely; 0 at or below chance, infinite when all are right."""
    share = correct / total
    if share <= method.chance:
        return 0.0
    if correct == total:
        return math.inf
    return float(scipy.optimize.brentq(lambda d: share_right(method, d) - share, 0.0, 12.0))


def verdict(method: Method, correct: int, total: int, alpha: float = 0.05) -> str:
    """One honest sentence; a panel too small to show anything is told so before its result is looked at."""
    needed = fewest_correct(method, total, alpha)
    if needed is None:
        least = fewest_tasters(method, alpha)
        return (
            f"{total} answers cannot show a difference at the {100 * alpha:g} % level, whatever they are: "
            f"{least} are the fewest that ever could. Pool repeats of the same comparison."
        )
    p = p_value(method, correct, total)
    if p <= alpha:
        return f"{correct} of {total}: a difference at the {100 * alpha:g} % level (p = {p:.3g}; {needed} were needed)."
    seen = power(method, total, alpha, 0.5)
    return (
        f"{correct} of {total}: no difference shown (p = {p:.3g}; {needed} were needed). That is not proof that they "
        f"are alike: if half of the tasters could tell, {seen:.0%} of such panels would show it."
    )


def _check(correct: int, total: int) -> None:
    if not 1 <= total <= LARGEST_PANEL:
        raise UserError(f"total {total}: 1 to {LARGEST_PANEL} answers would be right")
    if not 0 <= correct <= total:
        raise UserError(f"correct {correct}: 0 to {total} would be right")
