"""Rows of a start that was over before the host heard of it: their place in time, and their way into the store."""

from __future__ import annotations

import json
from typing import Any

import pytest

from emberdraft.daemon.boards import Board, sort_message
from emberdraft.daemon.line import Message
from emberdraft.daemon.tally import Tallies
from emberdraft.store import Store
from tests.link.test_wire_doc import made

NOW = "aa11bb22"


@pytest.fixture
def board(tmp_path):
    with Store(tmp_path / "cooks.sqlite") as store:
        yield Board("test", store, Tallies(), 1.0)


def say(board: Board, what: str, at_s: float, **changed: Any) -> None:
    message = {**made()[what][0], **changed}
    topic = f"emberdraft/1/test/{what}"
    sort_message(board, what, Message(at_s, topic, json.dumps(message).encode(), False))


def commit(board: Board) -> dict[str, tuple[list[dict[str, Any]], int]]:
    out = {}
    for intake in board.waiting():
        board.place_earlier()
        out[intake.boot] = intake.commit()
    return out


HELD = [
    {"boot": "11111111", "oldest": 0, "next": 100, "end_s": 99},
    {"boot": "22222222", "oldest": 0, "next": 50, "end_s": 49},
]


def test_starts_never_heard_are_put_one_before_the_other_before_the_present(board):
    say(board, "info", 1000.0, boot=NOW, ms=10_000, held=HELD)
    say(board, "reading", 1001.0, boot=NOW, seq=0, ms=11_000, oldest=0)
    commit(board)
    for boot, ms in (("11111111", 5000), ("22222222", 5000)):
        say(board, "reading", 1002.0, boot=boot, seq=5, ms=ms, oldest=0, late=True)
    rows = commit(board)
    assert rows["22222222"][0][0]["at_s"] == pytest.approx(990.0 - 49 - 1 + 5)
    assert rows["11111111"][0][0]["at_s"] == pytest.approx(990.0 - 49 - 1 - 99 - 1 + 5)


def test_a_start_that_was_heard_keeps_its_place(board):
    say(board, "reading", 500.0, boot="11111111", seq=0, ms=1000, oldest=0)
    commit(board)
    say(board, "info", 1000.0, boot=NOW, ms=10_000, held=HELD)
    say(board, "reading", 1001.0, boot=NOW, seq=0, ms=11_000, oldest=0)
    say(board, "reading", 1002.0, boot="11111111", seq=1, ms=2000, oldest=0, late=True)
    assert commit(board)["11111111"][0][0]["at_s"] == pytest.approx(501.0)


def test_each_start_has_a_mark_of_its_own(board):
    say(board, "info", 1000.0, boot=NOW, ms=10_000, held=HELD)
    say(board, "reading", 1001.0, boot=NOW, seq=0, ms=11_000, oldest=0)
    for seq in range(3):
        say(board, "reading", 1002.0, boot="22222222", seq=seq, ms=1000 * seq, oldest=0, late=True)
    commit(board)
    say(board, "reading", 1003.0, boot="22222222", seq=3, ms=3000, oldest=0, late=True)
    assert commit(board)["22222222"][1] == 4


def test_without_a_word_on_its_end_rows_wait_on_the_board(board):
    say(board, "reading", 1001.0, boot=NOW, seq=0, ms=11_000, oldest=0)
    say(board, "reading", 1002.0, boot="33333333", seq=0, ms=0, oldest=0, late=True)
    rows, _ = commit(board)["33333333"]
    assert rows == []
    assert board.tallies.counts()["no_clock"].count == 1


def test_late_rows_of_an_earlier_start_say_nothing_of_the_present(board):
    say(board, "info", 1000.0, boot=NOW, ms=10_000, held=HELD)
    say(board, "reading", 1001.0, boot=NOW, seq=0, ms=11_000, oldest=0)
    say(board, "reading", 1030.0, boot="22222222", seq=5, ms=5000, oldest=0, late=True)
    view = board.liveness.view(1030.0)
    assert (view.state, view.boot) == ("silent", NOW)
