"""Who gets what: by chance from a recorded seed, balanced in each block; and the codes that hide it from tasters."""

from __future__ import annotations

import random
from collections.abc import Sequence

from emberdraft.errors import UserError

TRIANGLE_ORDERS = ("ABB", "BAA", "AAB", "BBA", "ABA", "BAB")  # each equally often (sensory practice)


def assign(pieces: Sequence[tuple[str, str]], treatments: Sequence[str], seed: int) -> dict[str, str]:
    """Treatment of each piece. `pieces`: (piece, block); a block is what is alike (same roast, same cook).

    In each block every treatment is used equally often within 1, and a treatment that came short in one block is
    first in the next: over the whole trial they are within 1 as well. The same seed gives the same assignment.
    """
    _check(pieces, treatments)
    chance = random.Random(f"assign {seed}")
    used = dict.fromkeys(treatments, 0)
    given: dict[str, str] = {}
    for block in sorted({block for _, block in pieces}):
        members = [piece for piece, where in pieces if where == block]
        chance.shuffle(members)
        for piece, treatment in zip(members, _hand(treatments, used, len(members), chance), strict=True):
            given[piece] = treatment
    return given


def _hand(treatments: Sequence[str], used: dict[str, int], count: int, chance: random.Random) -> list[str]:
    """`count` treatments, each equally often within 1; the ones used least so far get the extra."""
    order = sorted(treatments, key=lambda t: (used[t], chance.random()))
    hand = [order[i % len(order)] for i in range(count)]
    for treatment in hand:
        used[treatment] += 1
    chance.shuffle(hand)
    return hand


def _check(pieces: Sequence[tuple[str, str]], treatments: Sequence[str]) -> None:
    if not 2 <= len(set(treatments)) <= 6 or len(set(treatments)) != len(treatments):
        raise UserError(f"treatments {', '.join(treatments)}: two to six different ones would be right")
    names = [piece for piece, _ in pieces]
    if len(set(names)) != len(names):
        raise UserError("pieces: each needs a name of its own")
    if len(names) < len(treatments):
        raise UserError(
            f"{len(names)} pieces for {len(treatments)} treatments: at least one piece a treatment is needed"
        )


def codes(samples: Sequence[str], seed: int) -> dict[str, str]:
    """A three-digit code for each sample, all different, none of them telling."""
    numbers = random.Random(f"codes {seed}").sample(range(100, 1000), len(samples))
    return {sample: str(number) for sample, number in zip(samples, numbers, strict=True)}


def triangle_orders(tasters: int, seed: int) -> list[str]:
    """A serving order for each taster: the six orders equally often within 1, who gets which by chance."""
    chance = random.Random(f"triangle {seed}")
    orders: list[str] = []
    while len(orders) < tasters:
        round_of_six = list(TRIANGLE_ORDERS)
        chance.shuffle(round_of_six)
        orders += round_of_six
    return orders[:tasters]
