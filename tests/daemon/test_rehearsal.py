"""Whole cooks in lock-step on the real core and the real plant, with the stand-in person."""

from __future__ import annotations

import pytest

from emberdraft.daemon.plan import example_text, load_plan, parse_plan
from emberdraft.daemon.rehearse import rehearse
from emberdraft.errors import UserError
from emberdraft.plant.catalogue import BY_NAME
from emberdraft.store import Store
from tests.proof.fixture import Proof

SEAR = ["on_stone", "flipped", "off_stone"]

PLANT = '''
from emberdraft.plant.heavy_ceramic import HeavyCeramic

class Bare:
    """Only what the contract asks for: no light, no cold parts, nothing to put out."""

    def __init__(self, seed=0, **overrides):
        self._inner = HeavyCeramic(seed, **overrides)

    def step(self, dt_s, u):
        return self._inner.step(dt_s, u)

    def add_food(self, mass_kg, thickness_m, initial_c):
        return self._inner.add_food(mass_kg, thickness_m, initial_c)

    def remove_food(self, index):
        self._inner.remove_food(index)
'''


@pytest.fixture(scope="module")
def chops(tmp_path_factory):
    db = tmp_path_factory.mktemp("rehearsal") / "cooks.sqlite"
    return rehearse(load_plan("two_chops"), db=db), db


def test_two_chops_go_through_every_phase_to_the_end(chops):
    summary, _ = chops
    assert [p["phase"] for p in summary["phases"]] == ["light", "soak", "slow", "climb", "sear", "bank"]
    assert summary["invented"] is True


def test_each_chop_is_pulled_at_its_own_temperature_the_cold_one_later(chops):
    summary, _ = chops
    tempered, cold = summary["pieces"]
    # The person reacts within two minutes of a forgotten prompt; a chop of 38 mm then gains about 1 degC.
    for piece in (tempered, cold):
        assert 57.0 <= piece["pulled_c"] <= 59.5
    assert tempered["time_to_pull_s"] < cold["time_to_pull_s"]
    assert all(piece["peak_after_pull_c"] > piece["pulled_c"] for piece in summary["pieces"])


def test_no_order_is_refused_and_no_button_pressed_in_vain(chops):
    summary, _ = chops
    assert summary["orders_refused"] == []
    assert summary["person_refused"] == []
    assert summary["orders"] > 20


def test_what_the_person_forgot_was_said_again(chops):
    summary, _ = chops
    assert summary["forgotten"] == 3  # two pulls and the vent: the plan's script
    assert (
        3 <= summary["repeats"] <= 6
    )  # a pull that is forgotten is said again, and once more while the lid is fetched


def test_the_deeds_come_in_the_order_of_a_cook(chops):
    summary, _ = chops
    kinds = [m["kind"] for m in summary["marks"] if m["kind"] not in ("vent_top", "vent_bottom", "gains")]
    assert kinds == [
        "lit",
        *("lid_open", "lid_shut", "set_up"),
        *("lid_open", "lid_shut", "piece_on", "piece_on"),
        *("lid_open", "lid_shut", "pulled") * 2,
        *[kind for deed in SEAR * 2 for kind in ("lid_open", "lid_shut", deed)],
    ]


def test_the_climb_begins_after_both_chops_are_out_and_the_vent_is_open(chops):
    summary, db = chops
    marks = summary["marks"]
    pulled = max(m["at_s"] for m in marks if m["kind"] == "pulled")
    opened = [m["at_s"] for m in marks if m["kind"] == "vent_top"][1]
    with Store(db) as store:
        cook = store.cooks()[0]
        climb = next(p for p in store.phases(cook["id"]) if p["phase"] == "climb")
        assert pulled < opened < climb["at_s"] - cook["start_s"]


def test_the_record_holds_the_cook_second_by_second(chops):
    summary, db = chops
    with Store(db) as store:
        (cook,) = store.cooks()
        assert (cook["invented"], cook["how"]) == (1, "plan done")
        assert len(store.readings(cook["id"])["at_s"]) == summary["simulated_s"]
        assert store.gaps(cook["id"]) == []
        assert len(store.marks(cook["id"])) == len(summary["marks"])
        assert [p["pulled_s"] is not None for p in store.pieces(cook["id"])] == [True, True]
        assert store.tunings(cook["id"])[0]["gains"]["ti_s"] == load_plan("two_chops").gains[0].ti_s


def test_the_same_seed_gives_the_same_cook(chops):
    summary, _ = chops
    again = rehearse(load_plan("two_chops"))
    for told in (summary, again):
        told.pop("wall_s", None)
        told.pop("times_real", None)
    assert again == summary


def test_a_plain_hold_needs_nobody_between_lighting_and_putting_out():
    short = parse_plan(example_text("hold").replace('for = "3h"', 'for = "20 min"'))
    summary = rehearse(short)
    assert [p["phase"] for p in summary["phases"]] == ["light", "soak", "slow", "bank"]
    assert {m["kind"] for m in summary["marks"]} == {"lit", "vent_top", "vent_bottom"}
    assert summary["alerts"] == []


def test_a_plant_of_somebody_else_can_be_rehearsed_on(tmp_path):
    file = tmp_path / "bare.py"
    file.write_text(PLANT)
    plan = example_text("two_chops").replace("together = false", "together = true")
    summary = rehearse(parse_plan(plan), plant_spec=f"{file}:Bare")
    assert [p["phase"] for p in summary["phases"]][-1] == "bank"
    assert summary["person_refused"] == []
    assert all(piece["peak_after_pull_c"] is None for piece in summary["pieces"])


@pytest.mark.parametrize("spec", ["nothing", "nowhere.py:Plant", ":Plant", "x.py:"])
def test_a_plant_that_is_not_there_is_refused_in_a_line(spec):
    with pytest.raises(UserError, match="plant"):
        rehearse(parse_plan(example_text("hold")), plant_spec=spec)


def test_an_interpreter_that_is_none_is_refused():
    with pytest.raises(UserError, match="micropython or cpython"):
        rehearse(load_plan("hold"), interpreter="basic")


@pytest.mark.prove("Rehearsal")
@pytest.mark.parametrize("seed", range(4))
def test_a_healthy_cook_of_twelve_hours_has_no_alarm(seed, proof: Proof):
    long = parse_plan(example_text("hold").replace('for = "3h"', 'for = "12h"'))
    summary = rehearse(long, seed=seed)
    proof.promise(f"alarms in a healthy cook of 12 h, seed {seed}", len(summary["alerts"]), at_most=1)


@pytest.mark.prove("Rehearsal")
@pytest.mark.parametrize("kind", BY_NAME)
def test_the_plan_comes_to_its_end_on_every_kind_of_cooker_without_a_false_alarm(kind, proof: Proof):
    summary = rehearse(load_plan("two_chops"), plant_spec=kind, seed=1)
    alarms = [alert["id"] for alert in summary["alerts"]]
    # Both pulls are wanted; where the stone does not get there in the plan's longest time, that is said, and so is a
    # cooker that is still hot as the person puts its fire out.
    seared_s = max(mark["at_s"] for mark in summary["marks"] if mark["kind"] == "off_stone")
    late = [alert["id"] for alert in summary["alerts"] if alert["at_s"] >= seared_s]
    false = [alarm for alarm in alarms if alarm not in ("pull", "drive_too_long", *late)]
    proof.promise(f"two_chops on {kind}, false alarms", len(false), equals=0, note=", ".join(false))
    assert late in ([], ["starved_hot"])
    assert alarms.count("pull") == 2
    assert summary["orders_refused"] == summary["person_refused"] == []
    assert summary["phases"][-1]["phase"] == "bank"
