"""One root fault raises at most three alarms in any ten minutes: a flood hides what matters (EEMUA 191, ISA-18.2)."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.proof.fixture import Proof
from tests.safety.kitchen import COOKERS, Kitchen

MOST = 3
WINDOW_S = 600


def _frozen(kitchen: Kitchen) -> None:
    kitchen.world.break_probe("pit", "frozen")


def _offset(kitchen: Kitchen) -> None:
    kitchen.world.break_probe("pit", "offset", -20.0)


def _chatter(kitchen: Kitchen) -> None:
    kitchen.pit_c = lambda true_c, now_s: None if now_s % 45 < 4 else true_c


def _at_its_limit(kitchen: Kitchen) -> None:
    kitchen.pit_c = lambda true_c, now_s: 161.0 + (2.0 if now_s % 20 < 10 else -2.0)


ROOTS: dict[str, Callable[[Kitchen], None]] = {
    "probe open": lambda k: k.world.break_probe("pit", "open"),
    "probe frozen": _frozen,
    "probe off by 20 degC": _offset,
    "a plug that chatters": _chatter,
    "a pit on its limit": _at_its_limit,
    "fuel spent": lambda k: k.world.lose_fuel(),
    "blower stuck on": lambda k: k.world.stick_blower(1.0),
    "blower dead": lambda k: k.world.stick_blower(0.0),
    "lid left open": lambda k: k.lid(True, told=False),
}


def busiest(root: str, cooker: str) -> int:
    """The most alarms in any ten minutes of the two hours after the fault."""
    kitchen = Kitchen(cooker, 2).hold().minutes(90)
    begun_s = kitchen.now_s
    ROOTS[root](kitchen)
    kitchen.minutes(120)
    times = [at_s for at_s, _, _ in kitchen.alarms if at_s >= begun_s]
    return max((sum(a <= t < a + WINDOW_S for t in times) for a in times), default=0)


@pytest.mark.parametrize("root", ["a plug that chatters", "a pit on its limit", "blower stuck on"])
def test_one_fault_is_no_flood(root: str):
    assert 1 <= busiest(root, "heavy_ceramic") <= MOST


@pytest.mark.prove("safety: alarm rate")
def test_no_fault_on_any_cooker_is_a_flood(proof: Proof):
    worst = {root: max(busiest(root, cooker) for cooker in COOKERS) for root in ROOTS}
    loudest = max(worst, key=lambda root: worst[root])
    name = f"alarms in ten minutes from one of {len(ROOTS)} faults on six cookers, the worst"
    proof.promise(name, worst[loudest], at_most=MOST, note=loudest)
