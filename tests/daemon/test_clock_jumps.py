"""The host's clock jumps, the host is started again: the rows of one start keep their order and their distance."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest

from emberdraft.daemon.boards import Board, sort_message
from emberdraft.daemon.line import Message
from emberdraft.daemon.tally import Tallies
from emberdraft.store import Store
from tests.link.test_wire_doc import made

BEGIN_S = 1_790_000_000.0
HOUR_S = 3600.0


class Stream:
    """One start of a board at one row a second, heard by a clock that may jump and by one host after another."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.seq = 0
        self.jump_s = 0.0
        self.rows: list[dict[str, float]] = []

    def hear(self, seconds: int, jump_at: int = -1, jump_s: float = 0.0) -> None:
        """A host starts, takes so many rows, each in a commit of its own, and ends; its clock may jump on the way."""
        with Store(self.path) as store:
            board = Board("yard", store, Tallies(), 1.0)
            for k in range(seconds):
                self.jump_s = jump_s if k == jump_at else self.jump_s
                message = {**made()["reading"][0], "seq": self.seq, "ms": 1000 * self.seq, "oldest": 0}
                at_s = BEGIN_S + self.seq + self.jump_s
                sort_message(board, "reading", Message(at_s, "t", json.dumps(message).encode(), False))
                self.rows += [row for intake in board.waiting() for row in intake.commit()[0]]
                self.seq += 1


@pytest.mark.parametrize("jump_s", [HOUR_S, -HOUR_S, 86400.0 * 365, -86400.0 * 365, 0.7])
@pytest.mark.parametrize("restart", [False, True])
def test_a_jump_of_the_clock_changes_nothing_in_the_record(tmp_path: Path, jump_s: float, restart: bool) -> None:
    stream = Stream(tmp_path / "cooks.sqlite")
    if restart:
        stream.hear(30)
        stream.jump_s = jump_s
        stream.hear(30)
    else:
        stream.hear(60, 30, jump_s)
    times = [row["at_s"] for row in stream.rows]
    assert len(times) == 60
    assert times[0] == pytest.approx(BEGIN_S, abs=0.01)
    assert all(after - before == pytest.approx(1.0, abs=1e-3) for before, after in itertools.pairwise(times))


def test_a_clock_that_runs_backwards_row_by_row_changes_nothing_either(tmp_path: Path) -> None:
    stream = Stream(tmp_path / "cooks.sqlite")
    for _ in range(20):
        stream.hear(2)
        stream.jump_s -= 100.0
    times = [row["at_s"] for row in stream.rows]
    assert all(after - before == pytest.approx(1.0, abs=1e-3) for before, after in itertools.pairwise(times))
