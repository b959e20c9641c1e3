"""A cook with all its parts, written and read back."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.store import Store, StoreError
from emberdraft.store.schema import STEP_NAMES
from tests.store.making import START_S, event, reading


def test_a_cook_from_begin_to_end(store: Store) -> None:
    plan_id = store.add_plan("version = 1\n", "supper plan")
    cook_id = store.begin_cook("yard", "supper", plan_id, START_S, invented=True)
    running = store.open_cook("yard")
    assert running is not None and (running["id"], running["end_s"], running["invented"]) == (cook_id, None, 1)
    store.end_cook(cook_id, START_S + 3600.0, "plan")
    assert store.open_cook("yard") is None
    row = store.cook(cook_id)
    assert row is not None and (row["end_s"], row["how"]) == (START_S + 3600.0, "plan")
    assert store.plan(plan_id) == {"id": plan_id, "name": "supper plan", "text": "version = 1\n"}


def test_a_cook_left_open_is_broken_off_at_its_last_reading(store: Store) -> None:
    cook_id = store.begin_cook("demo", "supper", None, START_S)
    store.add_records("demo", "b1", [reading(n) for n in range(40)])
    assert store.break_off("demo", "broken off") == cook_id
    row = store.cook(cook_id)
    assert row is not None and (row["end_s"], row["how"]) == (START_S + 39.0, "broken off")
    assert store.break_off("demo", "broken off") is None
    store.begin_cook("demo", "again", None, START_S + 5.0)


def test_a_note_is_added_after_the_cook(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.update_cook(cook_id, note="too much wind")
    row = store.cook(cook_id)
    assert row is not None and row["note"] == "too much wind"


def test_the_same_plan_is_kept_once(store: Store) -> None:
    assert store.add_plan("a = 1", "p") == store.add_plan("a = 1", "p") != store.add_plan("a = 2", "p")


def test_cooks_are_listed_newest_first_and_by_cooker(store: Store) -> None:
    first = store.begin_cook("yard", "one", None, START_S)
    second = store.begin_cook("shed", "two", None, START_S + 10.0)
    assert [row["id"] for row in store.cooks()] == [second, first]
    assert [row["id"] for row in store.cooks("yard")] == [first]
    assert store.cookers() == ["shed", "yard"]


def test_a_phase_lasts_until_the_next_and_the_last_until_the_cooks_end(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_phase(cook_id, START_S, "light", 115.0)
    store.add_phase(cook_id, START_S + 60.0, "soak", 121.0)
    assert [(p["phase"], p["at_s"], p["end_s"]) for p in store.phases(cook_id)] == [
        ("light", START_S, START_S + 60.0),
        ("soak", START_S + 60.0, None),
    ]
    store.end_cook(cook_id, START_S + 90.0, "person")
    assert store.phases(cook_id)[-1]["end_s"] == START_S + 90.0


def test_a_piece_is_changed_as_the_cook_goes_on(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    piece_id = store.add_piece(cook_id, "A", "chop", 0, 57.0, mass_kg=0.42, thickness_m=0.038)
    store.update_piece(piece_id, on_s=START_S + 5.0)
    store.update_piece(piece_id, pulled_s=START_S + 50.0)
    (piece,) = store.pieces(cook_id)
    assert (piece["letter"], piece["probe"], piece["mass_kg"]) == ("A", 0, 0.42)
    assert (piece["on_s"], piece["pulled_s"]) == (START_S + 5.0, START_S + 50.0)


def test_a_column_that_does_not_exist_is_a_mistake(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    with pytest.raises(TypeError, match="piece has no 'weight'"):
        store.add_piece(cook_id, "A", "chop", weight=1.0)
    with pytest.raises(StoreError, match="no piece 9"):
        store.update_piece(9, on_s=1.0)


def test_a_mark_taken_back_is_kept_in_the_file_but_not_shown(store: Store, path: Path) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    kept = store.add_mark(cook_id, START_S + 9.0, "vent_top", 0.25)
    taken_back = store.add_mark(cook_id, START_S + 4.0, "lit", text="oops", author="page")
    store.undo_mark(taken_back)
    assert [mark["id"] for mark in store.marks(cook_id)] == [kept]
    assert store.counts()["mark"] == 2


def test_order_numbers_rise_over_a_restart_and_are_never_given_twice(path: Path) -> None:
    with Store(path) as store:
        assert [store.next_order_n("yard") for _ in range(3)] == [1, 2, 3]
    with Store(path) as store:
        assert store.next_order_n("yard") == 4
        assert store.next_order_n("shed") == 1
        store.add_order("yard", 10, "b1", START_S, "target", {"target_c": 121.0}, "page")
        assert store.next_order_n("yard") == 11


def test_an_order_and_its_reply(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_order("yard", 1, "b1", START_S + 1.0, "target", {"target_c": 500.0}, "page")
    (sent,) = store.orders(cook_id)
    assert (sent["args"], sent["code"]) == ({"target_c": 500.0}, None)
    store.set_reply("yard", 1, "out_of_range", "at most 350")
    (answered,) = store.orders(cook_id)
    assert (answered["code"], answered["text"]) == ("out_of_range", "at most 350")


def test_gains_in_force_when_the_cook_began_are_shown_with_it(store: Store) -> None:
    for at_s, gains in ((-200.0, 1), (-100.0, 2), (50.0, 3), (500.0, 4)):
        store.add_tuning("yard", START_S + at_s, {"kp": gains}, order_n=None)
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.end_cook(cook_id, START_S + 100.0, "person")
    assert [row["gains"] for row in store.tunings(cook_id)] == [{"kp": 2}, {"kp": 3}]


def test_an_alarm_from_raised_to_cleared(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    alarm_id = store.raise_alarm("yard", cook_id, START_S + 1.0, "pit_sensor", "pause", "raised", cause="open")
    store.update_alarm(alarm_id, state="cleared", acknowledged_s=START_S + 5.0, cleared_s=START_S + 9.0)
    (alarm,) = store.alarms(cook_id)
    assert (alarm["alert"], alarm["state"], alarm["cause"]) == ("pit_sensor", "cleared", "open")
    assert alarm["cleared_s"] == START_S + 9.0


def test_the_conductors_state_outlives_a_restart(path: Path) -> None:
    with Store(path) as store:
        store.save_state(1, '{"phase": "slow"}')
        store.save_state(1, '{"phase": "climb"}')
    with Store(path) as store:
        assert store.load_state(1) == '{"phase": "climb"}'
        assert store.load_state(2) is None


def test_rows_outside_the_cook_are_not_its_own(store: Store) -> None:
    store.add_records("yard", "b1", [reading(n) for n in range(100)] + [event(100)])
    cook_id = store.begin_cook("yard", "supper", None, START_S + 20.0)
    store.end_cook(cook_id, START_S + 29.0, "person")
    assert store.readings(cook_id)["seq"] == list(range(20, 30))
    assert store.readings(cook_id, START_S + 25.0)["seq"] == list(range(25, 30))
    assert store.events(cook_id) == []


def test_the_newest_reading_is_the_newest_by_time(store: Store) -> None:
    assert store.last_reading("yard") is None
    store.add_records("yard", "b1", [reading(5), reading(3)])
    newest = store.last_reading("yard")
    assert newest is not None and newest["seq"] == 5


def test_the_file_says_what_it_is(store: Store, path: Path) -> None:
    about = store.about()
    assert about["path"] == str(path)
    assert about["step"] == STEP_NAMES[-1]
    assert about["size_bytes"] > 4096
