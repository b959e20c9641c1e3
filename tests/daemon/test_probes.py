"""Which probe is in whose piece: warmed in a hand, compared in a cup, and a swap put right from the start."""

from __future__ import annotations

import json

import pytest

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.history import History
from emberdraft.daemon.probe_watch import apart_c, probe_row, warmed
from emberdraft.daemon.steps import RefusedError
from emberdraft.errors import UserError
from emberdraft.review import figures_of
from tests.daemon.cook import Cook, plan_of


def history(*curves: list[float]) -> History:
    """Readings one in five seconds, the last at 1000 s; a curve for each probe."""
    made = History()
    for i, values in enumerate(zip(*curves, strict=True)):
        made.add(1000.0 - 5.0 * (len(curves[0]) - 1 - i), {"core_c": list(values)})
    return made


STILL = [20.0] * 30
WARMED = [20.0] * 26 + [21.0, 23.0, 25.0, 27.0]


# ---- a hand


def test_the_tip_in_a_hand_is_the_one_that_rises_alone():
    conductor = Conductor(plan_of())
    assert warmed(conductor, history(STILL, WARMED), [20.0, 27.0], 1000.0) == 1
    assert warmed(conductor, history(STILL, STILL), [20.0, 20.0], 1000.0) is None
    both = [c + 0.3 for c in WARMED]
    assert warmed(conductor, history(WARMED, both), [27.0, 27.3], 1000.0) is None


def test_a_probe_that_is_hotter_than_a_hand_or_in_a_piece_is_not_meant():
    conductor = Conductor(plan_of())
    hot = [c + 30.0 for c in WARMED]
    assert warmed(conductor, history(STILL, hot), [20.0, 57.0], 1000.0) is None
    conductor.stage.piece("B").state = "in"
    assert warmed(conductor, history(STILL, WARMED), [20.0, 27.0], 1000.0) is None


def test_the_piece_is_named_beside_its_probe():
    row = {"core_c": [20.0, 27.0]}
    said = probe_row(Conductor(plan_of()), history(STILL, WARMED), row, 1000.0)
    assert [(p["letter"], p["in_hand"]) for p in said["probes"]] == [("A", False), ("B", True)]


# ---- a cup


def test_in_one_cup_their_difference_is_said_before_use_only():
    conductor = Conductor(plan_of())
    cup = history([20.1] * 30, [20.6] * 30)
    assert apart_c(conductor, cup, [20.1, 20.6], 1000.0) == pytest.approx(0.5)
    said = probe_row(conductor, cup, {"core_c": [20.1, 20.6]}, 1000.0)["lines"][-1]
    assert "0.5" in str(said)
    assert "is usual" in str(said)
    far = probe_row(conductor, history([20.0] * 30, [23.0] * 30), {"core_c": [20.0, 23.0]}, 1000.0)["lines"][-1]
    assert "plug and cable" in str(far)
    assert apart_c(conductor, history(STILL, WARMED), [20.0, 27.0], 1000.0) is None
    conductor.stage.piece("A").state = "in"
    assert apart_c(conductor, cup, [20.1, 20.6], 1000.0) is None


def test_a_board_without_probes_has_no_such_part():
    assert probe_row(Conductor(plan_of()), History(), {"core_c": []}, 0.0) is None
    assert probe_row(Conductor(plan_of()), History(), {"core_c": [None, None]}, 0.0) is None


# ---- a swap


def cooking() -> Cook:
    rest = '\nfinal = "63C"\nrest = "5 min"\n\n[[piece]]\nletter = "B"'
    c = Cook(plan_of((f'pull = "57C"{rest}', f'pull = "50C"{rest}'))).to("slow")
    c.tick()
    c.answer("put_on")
    return c


def test_a_swap_moves_cores_pull_alarms_and_prompts_to_the_right_piece():
    c = cooking()
    assert c.orders("pieces")[-1] == {"pull_c": [50.0, 57.0]}
    c.view.core_c = [51.0, 30.0]
    c.tick(5)
    assert [p.letters for p in c.conductor.prompts] == [["A"]]
    c.command("swap", first="A", second="B")
    assert c.orders("pieces")[-1] == {"pull_c": [57.0, 50.0]}
    assert c.conductor.stage.core_c("A") == 30.0
    assert c.kinds() == []
    c.tick(5)
    assert c.kinds() == []  # 51 is B's, and B is to be pulled at 57
    c.view.core_c = [57.5, 30.0]
    c.tick(5)
    assert [p.letters for p in c.conductor.prompts] == [["B"]]
    c.answer("pull")
    assert c.orders("pulled")[-1] == {"index": 0}


def test_a_swap_survives_a_restart_and_twice_is_none():
    c = cooking()
    c.command("swap", first="A", second="B")
    again = Conductor(c.plan)
    again.restore(json.loads(json.dumps(c.conductor.state())))
    assert [p.probe for p in again.plan.pieces] == [1, 0]
    again.command("swap", c.now_s, first="B", second="A")
    assert [p.probe for p in again.plan.pieces] == [0, 1]


@pytest.mark.parametrize(("first", "second"), [("A", "A"), ("A", "Z"), ("", "B")])
def test_a_swap_of_what_has_no_probe_is_refused_and_changes_nothing(first, second):
    c = cooking()
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="A, B"):
        c.command("swap", first=first, second=second)
    assert c.conductor.state() == before


def test_the_record_follows_from_the_start_and_undo_takes_it_back(rig):
    rig.to_slow()
    for k in range(90):
        rig.run(1, core_c=[5.0 + 0.2 * k, 5.0 + 0.1 * k])
        rig.store.add_records("yard", "b1", [{**rig.row, "seq": rig.seq, "ms": rig.seq * 1000, "at_s": rig.clock.at_s}])
    cook_id = rig.service.now()["cook"]["id"]
    rig.service.command("swap", first="A", second="B")
    assert [p["probe"] for p in rig.store.pieces(cook_id)] == [1, 0]
    assert [p["probe"] for p in figures_of(rig.store, cook_id)["pieces"]] == [1, 0]
    lines = {line["label"]: line["key"] for line in rig.service.now()["ledger"]}
    assert lines["Tempered chop"] == "core2"
    state = rig.service.now()
    assert state["marks"][-1]["label"] == "Probes swapped: AB"
    assert state["last"]["undo"]["mark_id"] == state["marks"][-1]["id"]
    rig.service.undo(**state["last"]["undo"])
    assert [p["probe"] for p in rig.store.pieces(cook_id)] == [0, 1]
    assert "swap" not in [m["kind"] for m in rig.store.marks(cook_id)]
    assert "swap" not in [m["kind"] for m in rig.service.now()["marks"]]


def test_after_a_swap_the_forecast_is_that_of_the_other_curve(rig):
    rig.to_slow()
    for k in range(1500):
        core_c = [5.0 + 0.02 * k, 5.0 + 0.01 * k]
        rig.run(1, core_c=core_c, pit_c=115.0)
        if k % 5 == 0:
            row = {**rig.row, "seq": rig.seq, "ms": rig.seq * 1000, "at_s": rig.clock.at_s}
            rig.store.add_records("yard", "b1", [row])
    before = dict(rig.service.live.forecasts)
    assert before["A"]["eta_s"] < before["B"]["eta_s"]
    rig.service.command("swap", first="A", second="B")
    rig.run(60)
    after = rig.service.live.forecasts
    assert after["A"]["eta_s"] > after["B"]["eta_s"]


def test_a_swap_is_no_mark_of_the_hand(rig):
    rig.service.start_cook(plan_of())
    with pytest.raises(UserError, match="would be right"):
        rig.service.mark("swap", text="AB")
