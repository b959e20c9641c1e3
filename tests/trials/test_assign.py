"""Assignment and codes: balanced, by chance, reproducible from the recorded seed."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from emberdraft.errors import UserError
from emberdraft.trials.assign import TRIANGLE_ORDERS, assign, codes, triangle_orders


@given(
    sizes=st.lists(st.integers(1, 9), min_size=1, max_size=6), treatments=st.integers(2, 6), seed=st.integers(0, 10**6)
)
def test_balanced_within_one_in_each_block_and_over_all(sizes: list[int], treatments: int, seed: int) -> None:
    names = [f"t{i}" for i in range(treatments)]
    pieces = [(f"p{block}.{i}", f"b{block}") for block, size in enumerate(sizes) for i in range(size)]
    if len(pieces) < treatments:
        return
    given_ = assign(pieces, names, seed)
    assert assign(pieces, names, seed) == given_
    for block in {block for _, block in pieces}:
        counts = Counter({name: 0 for name in names}) + Counter()
        counts.update({name: 0 for name in names})
        counts.update(given_[piece] for piece, where in pieces if where == block)
        assert max(counts.values()) - min(counts.values()) <= 1
    whole = Counter({name: 0 for name in names})
    whole.update(given_.values())
    assert max(whole.values()) - min(whole.values()) <= 1


def test_chance_decides() -> None:
    pieces = [("left", "roast"), ("right", "roast")]
    seen = {assign(pieces, ["salted", "plain"], seed)["left"] for seed in range(20)}
    assert seen == {"salted", "plain"}


def test_codes_are_three_digits_and_all_different() -> None:
    given_ = codes([f"s{i}" for i in range(60)], seed=5)
    assert len(set(given_.values())) == 60
    assert all(len(code) == 3 and code.isdigit() for code in given_.values())
    assert codes([f"s{i}" for i in range(60)], seed=5) == given_


@pytest.mark.parametrize("tasters", [1, 6, 7, 20])
def test_serving_orders_are_balanced_within_one(tasters: int) -> None:
    counts = Counter({order: 0 for order in TRIANGLE_ORDERS})
    counts.update(triangle_orders(tasters, seed=2))
    assert max(counts.values()) - min(counts.values()) <= 1


@pytest.mark.parametrize(
    ("pieces", "treatments"),
    [
        ([("a", "x"), ("b", "x")], ["salted"]),
        ([("a", "x"), ("a", "x")], ["salted", "plain"]),
        ([("a", "x")], ["salted", "plain"]),
        ([("a", "x"), ("b", "x")], ["salted", "salted"]),
    ],
)
def test_a_trial_that_cannot_be_is_refused(pieces: list[tuple[str, str]], treatments: list[str]) -> None:
    with pytest.raises(UserError):
        assign(pieces, treatments, 1)
