"""Power that goes at any instant: what is kept can be read, and after it there is no air before somebody orders it."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from emberboard import keep as kept
from emberboard import settings
from emberdraft.virtual.board import VirtualBoard
from tests.proof.fixture import Proof
from tests.safety.cutting import runs_out
from tests.virtual.conftest import Cook, SmallWorld, interpreter_or_skip

PROVES = ["firmware", "host/emberdraft/virtual"]  # read by another interpreter
HOT = (["pit_over_limit", "runaway"], 1)


def cut_keeping(path: str, left: int, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Two trips are to be kept; the power goes after `left` bytes. The old or the new is there, never a ruin."""
    kept.Keep(path).note(["runaway"], 0)
    keep = kept.Keep(path)
    was_cut = runs_out(kept, left, monkeypatch, lambda: keep.note(*HOT))
    after = kept.Keep(path)
    assert not after.damaged
    assert (after.trips, after.failed) in ((["runaway"], 0), HOT)
    return was_cut


@pytest.mark.parametrize("left", [0, 1, 40])
def test_a_cut_while_trips_are_written_leaves_the_old_or_the_new(tmp_path: Path, left: int, monkeypatch):
    assert cut_keeping(str(tmp_path / "kept.json"), left, monkeypatch)


def cut_running(work_dir: Path, cuts: int, seed: int) -> int:
    """A board under way, its power cut `cuts` times at random; how often it came back as it must."""
    chance, world, good = Random(seed), SmallWorld(), 0
    board = VirtualBoard(world, interpreter=interpreter_or_skip(), work_dir=work_dir, seed=seed)
    with board:
        cook = Cook(board)
        for n in range(1, cuts + 1):
            world.pit_c = chance.choice([20.0, 110.0, 110.0, 380.0])
            cook.run(chance.uniform(0.0, 5.0 if chance.random() < 0.4 else 14.0))
            if cook.of("link") and chance.random() < 0.7:
                cook.order(n, "acknowledge", id="all")
                cook.hold(200.0, n + 1000)
                cook.run(chance.uniform(0.0, 6.0))
            cook.said.clear()
            board.power_cut(chance.uniform(0.1, 3.0))
            drives: list[float] = [board.drive]
            cook.run(chance.uniform(4.0, 13.0), lambda _s, drives=drives: drives.append(board.drive))
            whole = not kept.Keep(str(board.flash / "kept.json")).damaged
            whole = whole and settings.load(f"{board.flash}/")[1] == []
            good += whole and max(drives) == 0.0
    return good


def test_three_cuts_of_a_running_board(tmp_path: Path):
    assert cut_running(tmp_path / "flash", 3, 1) == 3


@pytest.mark.prove("safety: power", proves=PROVES)
def test_two_hundred_cuts(tmp_path: Path, monkeypatch, proof: Proof):
    chance = Random(6)
    writing = sum(cut_keeping(str(tmp_path / "kept.json"), chance.randrange(75), monkeypatch) for _ in range(100))
    running = cut_running(tmp_path / "flash", 100, 2)
    name = "power cuts, half of them inside a write: unreadable, or air before an order, of 200"
    proof.promise(name, 200 - writing - running, equals=0)
