"""No accepted orders make a trip late: the board's controller against a guard that no order can put off."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.proof.closure import digest
from tests.proof.fixture import Proof
from tests.safety import late_trips
from tests.safety.late_trips import STORIES
from tests.safety.test_reference_guard import HOLES, attacked

STANDS_ON = ["firmware/emberboard/core", "tests/safety/late_trips.py", "tests/safety/reference_guard.py"]
KEPT = Path(__file__).parents[2] / "build" / "late_trips"
BLOCKS, IN_BLOCK = 20, 1000


@pytest.mark.parametrize("name", HOLES)
def test_the_script_that_was_known_to_put_a_trip_off_does_so_no_more(name):
    seed = next(k for k, story in enumerate(STORIES) if story.name == name)
    one = attacked(seed)
    assert one.late is None
    assert one.tripped


def test_a_hundred_sequences():
    taken, trips, late = late_trips.search(range(100))
    assert late == []
    assert taken > 10_000
    assert trips > 60


@pytest.mark.prove("orders and late trips")
@pytest.mark.parametrize("block", range(BLOCKS))
def test_twenty_thousand_sequences_of_two_hours(block: int, proof: Proof):
    """In blocks that run side by side; each keeps where it stands in build/, for this very code."""
    seeds = range(block * IN_BLOCK, (block + 1) * IN_BLOCK)
    told = late_trips.resumed(seeds, KEPT / digest(STANDS_ON)[:16] / f"{block}.json")
    name = f"sequences {seeds.start} to {seeds.stop - 1}"
    proof.promise(f"{name}: trips late", len(told["late"]), equals=0)
    proof.promise(f"{name}: orders taken", told["taken"], at_least=50_000)
