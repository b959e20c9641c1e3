"""Calls through the service: what a phone is told, in which words, and when it is left alone."""

from __future__ import annotations

import re
from types import SimpleNamespace

import pytest

from emberdraft.daemon.plan import example_text, load_plan, parse_plan
from emberdraft.errors import UserError
from tests.daemon.test_service import Rig


@pytest.fixture
def rig(tmp_path):
    """A service without twins and forecasts, which these tests do not ask."""
    made = Rig(tmp_path / "cooks.sqlite")
    yield made
    made.store.close()


TRIP = {"kind": "trip", "value": 351.0, "limit": 350.0}


def second(rig, seconds=1, **row):
    """Seconds of a heard board, with the service's own tick in each."""
    rig.service.live.desk._start = rig.service.live.pulls._start = lambda _job: None
    for _ in range(seconds):
        rig.run(1, **row)
        rig.service.tick()


def lapse(rig, seconds, **row):
    """The same with a reading every five seconds, for hours."""
    for _ in range(0, seconds, 5):
        rig.clock.at_s += 4.0
        second(rig, **row)


def said(rig):
    return [notice["title"] for notice in rig.notices]


def test_each_step_of_a_cook_that_waits_for_a_person_calls(rig):
    # Seen before: put on and start the climb never called, the stone stood ready for 18 min unsaid.
    rig.service.start_cook(load_plan("two_chops"))
    second(rig)
    for kind, row in (
        ("light", {}),
        ("set_up", {"pit_c": 115.0}),
        ("put_on", {}),
        ("pull", {"core_c": [57.2, 57.2]}),
        ("open_vent", {}),
        ("start_climb", {}),
        ("come_to_sear", {"stone_c": 270.0}),
    ):
        for _ in range(1000):
            lapse(rig, 5, **row)
            if any(p.kind == kind for p in rig.service.prompts()):
                break
        second(rig)
        for prompt in [p for p in rig.service.prompts() if p.kind == kind]:
            rig.service.answer(prompt.id, at_cooker=True)
    calls = [key.split(":")[-1].split("-")[0] for n in rig.notices if not n["over"] for key in n["calls"]]
    assert list(dict.fromkeys(calls)) == ["set_up", "put_on", "pull", "open_vent", "start_climb", "come_to_sear"]


def test_the_end_of_a_hold_calls_who_sleeps(rig):
    # Seen before: the end of `hold` put the fire out without a word.
    rig.service.start_cook(load_plan("hold"))
    second(rig)
    rig.answer("light")
    lapse(rig, 1200, pit_c=121.0)
    lapse(rig, 3 * 3600 + 700)
    assert rig.service.cook.conductor.step == "bank"
    ends = [notice for notice in rig.notices if notice["title"] == "Shut both vents"]
    assert ends
    assert ends[0]["wakes"] == "asleep"


def test_the_notice_names_the_piece_and_its_value_now_in_the_unit_of_the_house_with_a_link(rig):
    # 57.2 degC are 134.96 degF, hand calculation.
    rig.service.unit = "f"
    rig.to_slow()
    second(rig, 5, core_c=[57.2, 40.0])
    notice = rig.notices[-1]
    assert notice["title"] == "Pull the tempered chop (A)"
    assert notice["text"].startswith("It is at 135\u00a0°F. ")
    assert "°C" not in notice["title"] + notice["text"]
    prompt = rig.service.now()["next"]["id"]
    assert notice["page"] == f"http://cooker.local/cookers/yard?asked={prompt}"


def test_a_repeat_says_the_value_of_now_and_that_of_then_with_its_time(rig):
    rig.to_slow()
    second(rig, 5, core_c=[57.2, 40.0])
    second(rig, 130, core_c=[60.4, 40.0])
    assert "It is at 60.4\u00a0°C; it was at 57.2\u00a0°C at " in rig.notices[-1]["text"]
    assert "Asked 2\u00a0min ago." in rig.notices[-1]["text"].replace("126\u00a0s", "2\u00a0min")


def test_a_stone_that_has_cooled_is_not_said_to_be_hot(rig):
    # Seen before: "the stone is at 266" while it was at 134.
    rig.to_slow()
    conductor = rig.service.cook.conductor
    conductor.stage.view.stone_c = 266.0
    conductor.stage.ask("come_to_sear", value_c=266.0)
    rig.service.live.row["stone_c"] = 134.0
    rig.run(10, stone_c=134.0)
    text = str(rig.service.now()["next"]["text"])
    assert text.startswith("The stone is at 134\u00a0°C; it was at 266\u00a0°C at ")


def test_a_link_that_came_back_is_said_once_to_be_over_and_then_nothing(rig):
    rig.to_slow()
    rig.quiet(60)
    lapse(rig, 1200)
    titles = [title for title in said(rig) if "No word" in title]
    assert titles == ["No word from the board", "Over: No word from the board"]
    assert [a["state"] for a in rig.service.now()["alarms"]] == ["returned"]


def test_after_the_cook_has_ended_one_over_and_then_silence(rig):
    rig.to_slow()
    rig.quiet(60)
    rig.service.end_cook()
    rig.notices.clear()
    rig.quiet(4 * 3600)
    assert said(rig) == ["Over: No word from the board"]
    assert rig.notices[0]["text"].endswith("The cook has ended.")


def test_a_trip_calls_on_after_the_cook_has_ended_until_it_is_acknowledged(rig):
    rig.to_slow()
    rig.service.on_alert("yard", "pit_over_limit", TRIP)
    second(rig)
    rig.service.end_cook()
    rig.notices.clear()
    lapse(rig, 400)
    assert said(rig) == ["The pit reached 351\u00a0°C at " + said(rig)[0].split(" at ")[1]] * len(rig.notices)
    rig.service.command("acknowledge")
    rig.service.on_alert("yard", "pit_over_limit", TRIP | {"acknowledged": True})
    rig.notices.clear()
    lapse(rig, 4000)
    assert said(rig) == []


def test_what_was_answered_before_a_restart_of_the_host_is_not_sent_again(rig):
    rig.to_slow()
    second(rig, 5, core_c=[57.2, 40.0])
    rig.service.on_alert("yard", "supply_low", {"kind": "pause", "value": 10.0, "limit": 10.8})
    second(rig)
    rig.service.command("acknowledge", id="supply_low")
    rig.answer("pull")
    rig.notices.clear()
    rig.again()
    rig.service.on_alert("yard", "supply_low", {"kind": "pause", "value": 10.0, "limit": 10.8, "acknowledged": True})
    lapse(rig, 3600)
    assert [n for n in rig.notices if {"alarm:supply_low"} & set(n["calls"]) or "Pull" in n["title"]] == []


def test_a_trip_is_not_said_to_be_over_because_the_host_has_just_started(rig):
    rig.to_slow()
    rig.service.on_alert("yard", "runaway", {"kind": "trip", "value": 35.0, "limit": 25.0})
    second(rig)
    rig.service.end_cook()
    rig.again()
    rig.notices.clear()
    second(rig, 10)  # the readings come before the retained alerts
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    rig.service.on_alert("yard", "runaway", {"kind": "trip", "value": 35.0, "limit": 25.0})
    second(rig, 30)
    assert [notice["over"] for notice in rig.notices] == []


def test_two_phones_one_answer_counts_and_the_other_is_told(rig):
    rig.to_slow()
    second(rig, 5, core_c=[57.2, 40.0])
    asked = rig.service.now()["next"]["id"]
    rig.service.answer(asked)
    with pytest.raises(UserError, match=r"It is out and the lid is shut: answered already at .*; nothing was changed"):
        rig.service.answer(asked)


def test_what_a_person_does_by_a_mark_answers_its_call(rig):
    rig.to_slow()
    second(rig, 5, core_c=[57.2, 40.0])
    rig.service.mark("pulled", text="A")
    rig.notices.clear()
    second(rig, 60)
    assert said(rig) == []


def test_putting_the_fire_out_taken_back_is_not_said_to_go_on(rig):
    # Seen before: the line said that it was being put out.
    rig.to_slow()
    rig.service.command("bank")
    rig.service.command("go_back", at_cooker=True)
    assert rig.service.now()["last"] == {"text": "Taken back: the fire is not put out", "undo": None}


def test_food_in_a_cold_cooker_calls_half_an_hour_before_two_hours_are_over(rig):
    # USDA FSIS, "Danger Zone": 2 h between 40 and 140 degF (4.4 and 60 degC).
    rig.to_slow()
    lapse(rig, 5390, pit_c=55.0, core_c=[30.0, 30.0])
    assert not any("Food" in title for title in said(rig))
    lapse(rig, 20)
    assert "Food has been kept below 60\u00a0°C for 1\u00a0h 30\u00a0min" in said(rig)
    food = next(notice for notice in rig.notices if notice["title"].startswith("Food"))
    assert food["wakes"] == "asleep"


def test_food_in_a_warm_cooker_does_not_call_however_cold_its_middle_is(rig):
    rig.to_slow()
    lapse(rig, 7200, pit_c=110.0, core_c=[30.0, 30.0])
    assert not any("Food" in title for title in said(rig))


def test_food_that_is_eaten_without_a_sear_does_not_call(rig):
    text = re.sub(r"\[(climb|sear)\][^\[]*", "", example_text("two_chops"))
    plan = parse_plan(text.split("[stand_in]")[0])
    assert plan.sear is None
    rig.service.start_cook(plan)
    rig.service.cook.conductor.run.pieces[0].state = "resting"
    rig.service.cook.conductor.run.pieces[0].pulled_s = rig.clock.at_s - 7000.0
    assert rig.service.food.look(rig.service.cook.conductor, rig.service.live.view, rig.clock.at_s) is None


def test_a_store_that_cannot_write_silences_no_call(rig, monkeypatch):
    rig.to_slow()

    def full(*_args):
        raise UserError("the disk is full")

    monkeypatch.setattr(rig.service.store, "keep", full)
    second(rig, 5, core_c=[57.2, 40.0])
    assert "Pull the tempered chop (A)" in said(rig)


def test_a_pause_whose_cause_is_over_is_said_to_be_over_though_nobody_has_acknowledged_it(rig):
    # The board keeps it until somebody has seen it (core/alerts.py), and says by `active` that its cause is over.
    rig.to_slow()
    pause = {"kind": "pause", "value": None, "limit": None, "acknowledged": False}
    rig.service.on_alert("yard", "pit_sensor", pause | {"active": True})
    second(rig, 30, pit_c=None, why="paused")
    rig.service.on_alert("yard", "pit_sensor", pause | {"active": False})
    lapse(rig, 3600, pit_c=115.0, why="steady")
    assert said(rig)[-2:] == [
        "The pit probe gives no value to rely on",
        "Over: The pit probe gives no value to rely on",
    ]
    assert rig.service.now()["alarms"][0]["state"] == "returned"
    assert not rig.service.now()["stopped"]


def test_a_trip_goes_on_calling_though_its_cause_is_over(rig):
    rig.to_slow()
    second(rig)
    rig.notices.clear()
    rig.service.on_alert("yard", "runaway", {"kind": "trip", "value": 35.0, "limit": 25.0, "active": False})
    lapse(rig, 700)
    assert len(rig.notices) == 4
    assert not any(notice["over"] for notice in rig.notices)


def test_a_trip_that_the_board_lets_go_of_as_it_is_acknowledged_is_answered_and_said_at_once_when_it_comes_back(rig):
    rig.to_slow()
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    second(rig, 20)
    rig.notices.clear()
    for _ in range(2):
        rig.service.on_alert("yard", "not_answering", {"kind": "trip", "value": 80.0, "limit": 90.0})
        second(rig, 5)
        rig.service.command("acknowledge", id="not_answering")
        rig.service.on_alert("yard", "not_answering", None)
        second(rig, 30)
    assert [(notice["over"], notice["again"]) for notice in rig.notices] == [(False, 0), (False, 1)]


def test_a_trip_acknowledged_at_the_board_is_answered(rig):
    rig.to_slow()
    rig.service.on_link("yard", SimpleNamespace(state="online"))
    second(rig, 20)
    rig.notices.clear()
    rig.service.on_alert("yard", "not_answering", {"kind": "trip", "value": 80.0, "limit": 90.0})
    second(rig, 5)
    rig.service.on_alert("yard", "not_answering", None)
    second(rig, 60)
    assert [notice["over"] for notice in rig.notices] == [False]
