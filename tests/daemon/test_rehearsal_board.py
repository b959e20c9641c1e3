"""The same rehearsal with the whole firmware on the virtual board: short here, whole cooks in `make prove`."""

from __future__ import annotations

import pytest

from emberdraft.daemon.plan import load_plan, parse_plan
from emberdraft.daemon.rehearsal_board import BoardRehearsal, rehearse_on_board
from emberdraft.daemon.rehearse import rehearse
from emberdraft.store import Store
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import find_micropython
from tests.proof.fixture import Proof

# No wheel of MicroPython for some computers: there the same firmware runs under CPython.
INTERPRETER = "micropython" if find_micropython() else "cpython"
PROVES = ["firmware", "host/emberdraft/virtual"]  # read by another interpreter
SHORT = """
version = 1
name = "Short"
invented = true
[light]
target = "40C"
[slow]
target = "40C"
for = "3 min"
[bank]
longest = "1 min"
[stand_in]
delay = "5 s"
"""


def test_the_firmware_carries_a_plan_from_lighting_to_putting_out(tmp_path):
    db = tmp_path / "cooks.sqlite"
    summary = rehearse_on_board(parse_plan(SHORT), None, db, 0, INTERPRETER)
    assert [p["phase"] for p in summary["phases"]] == ["light", "slow", "bank"]
    assert summary["orders_refused"] == []
    assert summary["person_refused"] == []
    with Store(db) as store:
        (cook,) = store.cooks()
        readings = store.readings(cook["id"])
        # The board takes some seconds to start; after its first reading nothing is missing.
        assert [gap for gap in store.gaps(cook["id"]) if gap["start_s"] > cook["start_s"]] == []
        assert {"hold", "bank"} <= set(readings["mode"])
        # One reading a second from the board's start to the end of the cook.
        assert len(readings["at_s"]) == pytest.approx(summary["simulated_s"], abs=90)


@pytest.mark.prove("Rehearsal", proves=PROVES)
def test_two_chops_under_micropython_are_the_cook_of_the_core_alone(proof: Proof):
    plan = load_plan("two_chops")
    board, core = rehearse_on_board(plan, None, None, 0, INTERPRETER), rehearse(plan)
    assert board["orders_refused"] == []
    assert [p["phase"] for p in board["phases"]] == [p["phase"] for p in core["phases"]]
    assert board["simulated_s"] == pytest.approx(core["simulated_s"], rel=0.1)
    proof.promise("two_chops, whole firmware, times real time", board["times_real"], at_least=300)


@pytest.mark.prove("Rehearsal", proves=PROVES)
def test_a_board_that_loses_power_gets_its_heat_back_from_the_person_at_the_cooker(tmp_path, monkeypatch):
    plan = parse_plan(SHORT.replace('"3 min"', '"20 min"'))
    rehearsal = BoardRehearsal(plan, None, None, 0, 0.0)
    run_on, cuts = VirtualBoard.run_until, []

    def run_until(board, t_s, on_second=None):
        run_on(board, t_s, on_second)
        if rehearsal.conductor.step == "slow" and not cuts:
            cuts.append(t_s)
            board.power_cut(5.0)

    monkeypatch.setattr(VirtualBoard, "run_until", run_until)
    summary = rehearsal.run(tmp_path, INTERPRETER, 0)
    kinds = [name for _, name in rehearsal.asked]
    assert rehearsal.board.boots == 2
    assert kinds.count("go_on") == 1
    assert summary["person_refused"] == []
    assert summary["phases"][-1]["phase"] == "bank"
