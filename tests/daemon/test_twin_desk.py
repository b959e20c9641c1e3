"""The desk of the twin: a job that cannot be done ends quietly, and the next one may begin."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from emberdraft.daemon.twin_desk import TwinDesk
from emberdraft.store import Store
from tests.waiting import CAP_S


def test_a_record_closed_while_a_job_reads_it_ends_the_job_without_a_traceback(tmp_path: Path) -> None:
    store = Store(tmp_path / "cooks.sqlite")
    store.close()
    said: list[str] = []
    desk = TwinDesk(start=lambda job: job())
    desk.do(lambda: said.append(str(store.cooks())), lambda: said.append("nothing"))
    assert said == ["nothing"]
    assert not desk.busy


def test_the_jobs_of_two_cookers_are_done_one_after_the_other() -> None:
    said: list[str] = []
    begun, go_on, done = threading.Event(), threading.Event(), threading.Event()

    def first() -> None:
        begun.set()
        go_on.wait(CAP_S)
        said.append("first")

    one, other = TwinDesk(), TwinDesk()
    one.do(first, lambda: None)
    assert begun.wait(CAP_S)
    other.do(lambda: (said.append("second"), done.set())[0], lambda: None)
    assert not done.wait(0.2)
    go_on.set()
    assert done.wait(CAP_S)
    assert said == ["first", "second"]


def test_readings_that_no_cooker_makes_are_answered_and_a_fault_of_ours_is_not_hidden() -> None:
    said: list[str] = []
    desk = TwinDesk(start=lambda job: job())
    desk.do(lambda: said.append(str(1 / 0)), lambda: said.append("nothing"))
    assert said == ["nothing"]
    with pytest.raises(KeyError):
        desk.do(lambda: said.append({}["no"]), lambda: None)
    assert not desk.busy
