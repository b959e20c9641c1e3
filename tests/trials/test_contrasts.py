"""Treatments compared over blocks: how many blocks it takes with several at once, and whose doubt averages out."""

from __future__ import annotations

import math

import pytest

from emberdraft.trials.analysis import contrasts
from emberdraft.trials.compare import paired
from emberdraft.trials.measures import Found


def blocks_of(count: int, names: str, step: float, doubt: float = 0.0) -> dict[str, dict[str, list[Found]]]:
    """Each later treatment is `step` more, with a little that differs from block to block."""
    return {
        f"b{i}": {name: [Found(step * k + 0.1 * (i * (k + 1) % 5), doubt)] for k, name in enumerate(names)}
        for i in range(count)
    }


@pytest.mark.parametrize(("names", "fewest"), [("ab", 6), ("abc", 7), ("abcd", 8)])
def test_with_more_comparisons_at_once_more_blocks_are_needed(names: str, fewest: int) -> None:
    """Bonferroni: 2 / 2^n <= .05 / c for 1, 3, 6 comparisons: 2/64 <= .05, 2/128 <= .0167, 2/256 <= .0083."""
    few = contrasts(blocks_of(fewest - 1, names, 50.0), list(names), {})
    assert {(c.state, c.needed_all) for c in few} == {("too_few", fewest)}
    assert {c.state for c in contrasts(blocks_of(fewest, names, 50.0), list(names), {})} == {"shown"}


def test_the_error_of_a_treatments_own_probe_does_not_average_out() -> None:
    """GUM (JCGM 100:2008) 4.2.3 and 5.2: independent errors fall with the root of their number, a common one does not.

    Pieces of 2 sigma each: a pair's difference has 2 sqrt 2. Nine pairs by the same two probes keep it whole.
    """
    blocks = blocks_of(9, "ab", 50.0, doubt=2.0)
    (own,) = contrasts(blocks, ["a", "b"], {"a": {0}, "b": {1}})
    (dealt,) = contrasts(blocks, ["a", "b"], {"a": {0, 1}, "b": {0, 1}})
    assert (own.same_probes, own.doubt) == (True, pytest.approx(2.0 * math.sqrt(2.0)))
    assert (dealt.same_probes, dealt.doubt) == (False, pytest.approx(2.0 * math.sqrt(2.0) / 3.0))


def test_a_difference_within_the_doubt_of_its_probes_is_too_fine() -> None:
    """Two sigma of 2 sqrt 2 are 5.7: 5 degrees between probes of their own show nothing, 50 do."""
    for step, state in ((5.0, "too_fine"), (50.0, "shown")):
        (found,) = contrasts(blocks_of(9, "ab", step, doubt=2.0), ["a", "b"], {"a": {0}, "b": {1}})
        assert found.state == state


def test_a_sampled_p_is_never_nought() -> None:
    """(b + 1) / (m + 1), the seen one counted (Phipson and Smyth, Stat. Appl. Genet. Mol. Biol. 9 (2010) 39)."""
    differences = [10.0 + 0.1 * i for i in range(40)]  # of 20,000 patterns of 40 signs none points all one way
    assert paired(differences, [0.0] * 40).p_permutation == pytest.approx(1.0 / 20_001.0)
