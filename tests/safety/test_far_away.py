"""Nobody far away raises heat, or overrules the lid: orders by chance at boards by chance."""

from __future__ import annotations

import pytest

from emberboard.core import lid, orders
from tests.proof.fixture import Proof
from tests.safety import far_away


def test_sixty_boards():
    taken, wrong = far_away.search(range(60))
    assert wrong == []
    assert taken > 1500


SABOTAGES = {
    "a drive that is over counts as running": (orders, "_agreed", lambda c: c.target_c if c.mode == "hold" else 250.0),
    "nobody need be there": (orders, "_somebody", lambda *_: True),
    "an acknowledgement goes on": (
        orders.HANDLERS,
        "acknowledge",
        lambda c, a, _n: (c.acknowledge(a["id"]) and "", ""),
    ),
    "a page shuts what the button opened": (orders, "_has_seen", lambda *_: True),
    "a press shuts": (lid.Lid, "press", lid.Lid.shut),
}


@pytest.mark.parametrize("name", SABOTAGES)
def test_the_search_finds_what_is_spoilt(name, monkeypatch):
    where, what, other = SABOTAGES[name]
    (monkeypatch.setitem if isinstance(where, dict) else monkeypatch.setattr)(where, what, other)
    assert any(far_away.FarAway(seed).go().wrong for seed in range(60))


@pytest.mark.prove("orders from far away")
@pytest.mark.parametrize("block", range(4))
def test_four_thousand_boards(block: int, proof: Proof):
    taken, wrong = far_away.search(range(1000 * block, 1000 * (block + 1)))
    proof.promise(f"block {block}: heat raised or a lid overruled", len(wrong), equals=0)
    proof.promise(f"block {block}: orders taken", taken, at_least=25_000)
