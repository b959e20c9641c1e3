"""The clock of a demonstration waits for its boards, so that a busy computer makes it late and never wrong."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from emberdraft.clock import Clock
from emberdraft.commands.demo import GONE_REAL_S, KeptTogether

SPEED = 150.0


class Computer:
    """Real time, and a clock and boards on it, moved by hand."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.real_s = 0.0
        monkeypatch.setattr("emberdraft.clock.time.monotonic", lambda: self.real_s)
        self.clock = Clock(SPEED)
        self.begun_s = self.clock.now_s()
        self.boards: list[Any] = [SimpleNamespace(live=SimpleNamespace(row=None)) for _ in range(2)]
        self.pace = KeptTogether(self.clock, self.boards, lambda: self.real_s)

    def at(self, real_s: float, *heard: float) -> float:
        """Seconds since the start by the clock, when the boards were last heard at these."""
        self.real_s = real_s
        for board, at_s in zip(self.boards, heard, strict=True):
            board.live.row = {"at_s": self.begun_s + at_s}
        self.pace.look()
        return self.clock.now_s() - self.begun_s


@pytest.fixture
def computer(monkeypatch: pytest.MonkeyPatch) -> Computer:
    return Computer(monkeypatch)


def test_boards_that_keep_the_pace_are_not_waited_for(computer: Computer) -> None:
    assert [computer.at(k, 150.0 * k, 150.0 * k - 40.0) for k in (1, 2, 3)] == pytest.approx([150.0, 300.0, 450.0])


def test_the_slowest_board_is_waited_for_and_it_is_never_a_silent_one(computer: Computer) -> None:
    assert computer.at(1.0, 150.0, 150.0) == pytest.approx(150.0)
    assert computer.at(5.0, 750.0, 200.0) == pytest.approx(200.0 + 150.0)
    assert computer.at(6.0, 900.0, 850.0) == pytest.approx(900.0), "the clock catches up with the boards"


def test_a_board_that_is_gone_for_good_holds_nobody(computer: Computer) -> None:
    computer.at(1.0, 150.0, 150.0)
    later = 1.0 + GONE_REAL_S + 1.0
    assert computer.at(later, SPEED * later, 150.0) == pytest.approx(SPEED * later)
