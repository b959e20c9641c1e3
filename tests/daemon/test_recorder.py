"""A rehearsal's record: two of one seed are two cooks, and one that was killed does not bar the next."""

from __future__ import annotations

import pytest

from emberboard.core.controller import Inputs, Outputs
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.recorder import Recorder
from emberdraft.store import Reader, Store

START_S = 1_790_000_000.0
PLAN = load_plan("hold")


def _board_row(seq: int) -> dict[str, object]:
    return {
        "boot": "same",
        "seq": seq,
        "ms": 1000 * seq,
        "oldest": 0,
        "at_s": START_S + seq,
        "pit_c": 20.0,
        "core_c": [],
    }


def test_the_same_board_rows_twice_are_two_cooks(tmp_path) -> None:
    db = tmp_path / "cooks.sqlite"
    for _ in range(2):
        with Recorder(db, PLAN, START_S) as recorder:
            for seq in range(5):
                recorder.row(_board_row(seq))
            recorder.finish(START_S + 5.0)
    with Reader(db) as reader:
        assert reader.counts()["reading"] == 10
        assert [len(reader.readings(cook["id"])["at_s"]) for cook in reader.cooks()] == [5, 5]


def test_a_rehearsal_that_fails_keeps_what_it_had_and_ends_its_cook(tmp_path) -> None:
    db = tmp_path / "cooks.sqlite"
    with pytest.raises(RuntimeError), Recorder(db, PLAN, START_S) as recorder:
        recorder.second(START_S + 1.0, 1000, Outputs(), Inputs(1), [])
        raise RuntimeError("the plant broke")
    with Reader(db) as reader:
        (cook,) = reader.cooks()
        assert cook["how"] == "rehearsal broken off"
        assert reader.counts()["reading"] == 1


def test_one_that_was_killed_does_not_bar_the_next(tmp_path) -> None:
    db = tmp_path / "cooks.sqlite"
    killed = Recorder(db, PLAN, START_S)
    killed.store.close()
    with Recorder(db, PLAN, START_S + 60.0) as recorder:
        recorder.finish(START_S + 61.0)
    with Store(db) as store:
        assert all(cook["end_s"] is not None for cook in store.cooks())
