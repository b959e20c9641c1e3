"""The evening changed as it goes: each change in plan, board, record and undo; what raises heat needs the cooker."""

from __future__ import annotations

import json

import pytest

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.plan import example_text, parse_plan
from emberdraft.daemon.steps import RefusedError
from emberdraft.errors import UserError
from tests.daemon.cook import Cook, plan_of

CHOP = {"animal": "pork", "cut": "chop", "thickness": "4 cm", "done": "63C"}


def cooking() -> Cook:
    c = Cook(plan_of()).to("slow")
    c.view.core_c = [5.0, 5.0, 5.0]
    c.tick()
    c.answer("put_on")
    return c


def letters(c: Cook) -> list[str]:
    return [piece.letter for piece in c.conductor.plan.pieces]


def again(c: Cook) -> Conductor:
    """The host stopped and started on what was saved; its record knew the first plan alone."""
    conductor = Conductor(c.plan)
    conductor.restore(json.loads(json.dumps(c.conductor.state())))
    return conductor


def test_a_target_for_this_phase_goes_back_and_one_from_now_on_stays() -> None:
    c = Cook(plan_of()).to("soak")
    c.command("target", target_c=110.0)
    assert c.to("slow").view.target_c == 115.0
    d = Cook(plan_of()).to("soak")
    d.command("target", target_c=110.0, from_now_on=True)
    assert d.view.target_c == 110.0
    assert d.to("slow").view.target_c == 110.0
    assert again(d).plan.slow.target_c == 110.0


def test_from_now_on_overrides_what_was_said_for_the_phase_and_undo_brings_that_back() -> None:
    c = Cook(plan_of()).to("slow")
    c.command("target", target_c=105.0)
    c.command("target", target_c=100.0, from_now_on=True)
    assert c.view.target_c == 100.0
    c.now_s += 600.0
    c.tick()
    with pytest.raises(RefusedError, match="raising heat needs you"):
        c.command("take_back")
    assert c.view.target_c == 100.0 and c.conductor.plan.slow.target_c == 100.0
    c.command("take_back", at_cooker=True)
    assert c.view.target_c == 105.0 and c.conductor.plan.slow.target_c == 115.0


def test_higher_from_now_on_needs_somebody_at_the_cooker() -> None:
    c = Cook(plan_of()).to("slow")
    c.now_s += 600.0
    c.tick()
    before = c.conductor.state()
    with pytest.raises(RefusedError, match="raising heat needs you"):
        c.command("target", target_c=125.0, from_now_on=True)
    assert c.conductor.state() == before and c.conductor.plan.slow.target_c == 115.0
    c.command("target", target_c=125.0, from_now_on=True, at_cooker=True)
    assert c.orders("target")[-1] == {"target_c": 125.0, "at_cooker": True}


@pytest.mark.parametrize("probe", [2, None])
def test_a_piece_more_is_asked_for_followed_and_measured_by_hand_without_a_probe(probe: int | None) -> None:
    c = cooking()
    c.command("add_piece", piece=CHOP, probe=probe)
    assert letters(c) == ["A", "B", "C"] and letters_of(again(c)) == ["A", "B", "C"]
    c.tick()
    assert c.kinds() == ["put_on"] and c.conductor.prompts[0].letters == ["C"]
    c.answer("put_on")
    piece = c.conductor.plan.pieces[-1]
    if probe is None:
        assert piece.check_after_s > 600.0
    else:
        assert c.orders("pieces")[-1]["pull_c"][2] == pytest.approx(float(piece.pull_c))
    assert {p.letter: p.probe for p in c.conductor.plan.pieces} == {"A": 0, "B": 1, "C": probe}
    with pytest.raises(RefusedError, match="C has been put on since; drop it instead"):
        c.command("take_back")


def letters_of(conductor: Conductor) -> list[str]:
    return [piece.letter for piece in conductor.plan.pieces]


def test_a_piece_comes_back_from_the_rest_to_the_slow_phase_and_letters_are_never_used_twice() -> None:
    c = cooking()
    for letter in "AB":
        c.command("pulled", letter=letter)
    c.tick()
    assert c.conductor.step == "ask_vent"
    c.command("add_piece", piece=CHOP)
    assert c.conductor.step == "slow"
    c.command("take_back")
    c.command("add_piece", piece=CHOP)
    assert letters(c)[-1] in "CD"


@pytest.mark.parametrize(
    ("piece", "probe", "said"),
    [
        (CHOP, 0, "probe 0; free: 2"),
        (CHOP, 9, "probe 9; free: 2"),
        ({**CHOP, "thickness": ""}, 2, "no mass and no thickness"),
        ({**CHOP, "cut": "slice"}, 2, "slice"),
        ({**CHOP, "mass": "900 lb"}, 2, "5g to 30kg"),
        ({**CHOP, "cut": "brisket", "thickness": "6 cm", "mass": "25 kg"}, 2, "m2 on a grate"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_in_one_line_and_changes_nothing(piece, probe, said) -> None:
    c = cooking()
    before = c.conductor.state()
    with pytest.raises(UserError, match=said) as refused:
        c.command("add_piece", piece=piece, probe=probe)
    assert "\n" not in str(refused.value)
    assert c.conductor.state() == before and letters(c) == ["A", "B"]


def test_a_piece_less_is_no_longer_waited_for_and_comes_back_as_it_was() -> None:
    c = cooking()
    on_s = c.conductor.stage.piece("B").on_s
    c.command("drop_piece", letter="B")
    assert letters(c) == ["A"] and c.orders("pulled")[-1] == {"index": 1}
    c.command("take_back")
    assert c.conductor.stage.piece("B").on_s == on_s and c.orders("pieces")[-1]["pull_c"][1] is not None
    c.command("drop_piece", letter="B")
    c.command("pulled", letter="A")
    c.tick()
    assert c.conductor.step == "ask_vent"


def test_the_last_piece_is_what_ends_a_hold_without_a_time() -> None:
    c = cooking()
    c.command("drop_piece", letter="A")
    with pytest.raises(UserError, match=r"\[slow\].*without an end"):
        c.command("drop_piece", letter="B")


def test_a_hold_longer_and_shorter_but_never_than_it_has_been() -> None:
    c = Cook(plan_of(('121C"\n\n[soak]', '110C"\n\n[soak]'), ('121C"\nfor', '110C"\nfor'), name="hold")).to("slow")
    c.command("longer", by_s=1800.0)
    assert c.conductor.plan.slow.for_s == 3.5 * 3600.0
    c.command("longer", by_s=-3600.0)
    assert c.conductor.plan.slow.for_s == 2.5 * 3600.0
    c.now_s += 2 * 3600.0
    c.tick()
    with pytest.raises(RefusedError, match=r"held for 2.h"):
        c.command("longer", by_s=-3600.0)
    c.command("take_back")
    assert c.conductor.plan.slow.for_s == 3.5 * 3600.0
    with pytest.raises(RefusedError, match="change a pull temperature"):
        cooking().command("longer", by_s=600.0)


def test_no_sear_and_back_again_while_it_is_being_offered() -> None:
    c = Cook(plan_of()).to("ask_climb")
    c.command("no_sear")
    assert c.conductor.step == "rest" and c.conductor.plan.phases == ["light", "soak", "slow", "bank"]
    c.command("take_back")
    assert c.conductor.step == "ask_vent"
    c.command("no_sear")
    assert c.to("bank").view.mode == "bank"
    with pytest.raises(RefusedError, match="the climb has begun"):
        Cook(plan_of()).to("climb").command("no_sear")


def test_dinner_and_the_hour_at_which_a_piece_goes_on() -> None:
    c = Cook(plan_of()).to("slow")
    c.command("dinner", serve="19:30", on_at={"A": c.now_s + 1800.0})
    assert c.conductor.plan.serve == "19:30"
    c.tick()
    assert [p.letters for p in c.conductor.prompts] == [["B"]]
    c.command("put_on_at", letter="B", at_s=c.now_s + 900.0)
    c.tick(5)
    assert c.kinds() == []
    with pytest.raises(UserError, match="serve"):
        c.command("dinner", serve="half past")


def test_what_a_command_would_do_is_looked_at_and_left_undone() -> None:
    c = cooking()
    c.now_s += 600.0
    c.tick()
    before, out = c.conductor.state(), list(c.conductor.stage.out)
    seen, raises = c.conductor.would("drop_piece", c.now_s, lambda stage: len(stage.plan.pieces), letter="B")
    assert (seen, raises) == (1, False)
    seen, raises = c.conductor.would(
        "target", c.now_s, lambda stage: stage.plan.slow.target_c, target_c=130.0, from_now_on=True
    )
    assert (seen, raises) == (130.0, True)
    with pytest.raises(RefusedError):
        c.conductor.would("drop_piece", c.now_s, lambda stage: None, letter="Z")
    assert c.conductor.state() == before and c.conductor.stage.out == out and letters(c) == ["A", "B"]


# ---- through the service: what is said first, the record, undo


def test_it_is_said_first_stands_in_the_record_and_is_taken_back(rig) -> None:
    rig.to_slow()
    service, cook_id = rig.service, rig.service.now()["cook"]["id"]
    said = service.foresee("drop_piece", letter="B")
    assert said["lines"][0] == "Dropped the cold chop (B)."
    assert said["lines"][1].startswith("Dinner ") and said["raises"] is False
    assert len(rig.store.pieces(cook_id)) == 2 and service.plan_text() == example_text("two_chops")
    service.command("drop_piece", letter="B", **said["more"])
    kept = rig.store.plan(rig.store.cook(cook_id)["plan_id"])["text"]
    assert [piece.letter for piece in parse_plan(kept).pieces] == ["A"]
    last = service.now()["last"]
    assert last["text"] == "Dropped the cold chop (B)" and "at_cooker" not in last["undo"]
    assert service.now()["marks"][-1]["label"] == "Dropped the cold chop (B)"
    rig.again()
    assert [piece.letter for piece in rig.service.cook.conductor.plan.pieces] == ["A"]
    rig.service.undo(last["undo"]["mark_id"])
    assert rig.store.plan(rig.store.cook(cook_id)["plan_id"])["text"] == example_text("two_chops")
    assert "plan" not in [mark["kind"] for mark in rig.store.marks(cook_id)]


def test_only_the_newest_change_is_taken_back(rig) -> None:
    rig.to_slow()
    service = rig.service
    service.command("pull_at", letter="A", pull_c=55.0)
    first = service.now()["last"]["undo"]["mark_id"]
    service.command("dinner", serve="21:00")
    with pytest.raises(UserError, match="take back the newest change first"):
        service.undo(first)
    service.command("take_back")
    service.undo(first)
    assert service.plan_text() == example_text("two_chops")


def test_an_added_piece_has_its_row_in_the_record(rig) -> None:
    rig.to_slow()
    rig.service.command("pulled", letter="A")
    rig.service.command("add_piece", piece=CHOP)
    rows = rig.store.pieces(rig.service.now()["cook"]["id"])
    assert [(row["letter"], row["probe"]) for row in rows] == [("A", 0), ("B", 1), ("C", None)]
