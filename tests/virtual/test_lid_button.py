"""Lid button and a page far away, on the whole firmware under MicroPython: who is believed (docs/explain/lid.md)."""

from __future__ import annotations

import itertools

N = itertools.count(100)


def holding(start):
    cook = start()
    cook.hold(200.0)
    cook.run(30.0)
    assert cook.board.drive > 0.0
    return cook


def now(cook):
    """(why, whether there is air) a little later."""
    cook.run(4.0)
    return cook.readings[-1]["why"], cook.board.drive > 0.0


def page_says(cook, is_open, **more):
    """The board's answer to a page."""
    cook.order(next(N), "lid", open=is_open, **more)
    cook.run(2.0)
    return cook.of("reply")[-1]["code"]


def test_a_second_press_gives_no_air_and_a_long_one_does(start):
    cook = holding(start)
    for _ in range(2):
        cook.board.press_lid_button()
        assert now(cook) == ("lid_there", False)
    cook.board.press_lid_button(held_s=2.6)
    cook.run(1.0)
    assert cook.board.drive == 0.0  # it is down still: a press like any other
    why, air = now(cook)
    assert (not why.startswith("lid"), air) == (True, True)
    assert [event["text"] for event in cook.events if event["kind"] == "button"] == ["", "", "", "held"]


def test_a_button_that_something_leans_on_keeps_the_air_away_when_it_comes_up(start):
    cook = holding(start)
    cook.board.press_lid_button(held_s=20.0)
    cook.run(25.0)
    assert now(cook) == ("lid_there", False)


def test_a_felt_lid_that_is_pressed_stays_open(start):
    """Lifted without a word, felt by the pit's fall, then pressed: that used to feed the fire under an open lid."""
    cook = holding(start)
    world = cook.board.world
    for _ in range(14):
        world.pit_c -= 4.0
        cook.run(1.0)
    assert cook.readings[-1]["why"] == "lid_felt"
    cook.board.press_lid_button()
    assert now(cook) == ("lid_there", False)
    drives = []
    cook.run(300.0, lambda _now_s: drives.append(cook.board.drive))
    assert max(drives) == 0.0


def test_a_page_far_away_takes_back_its_own_word_and_not_the_button(start):
    cook = holding(start)
    assert page_says(cook, True) == ""
    assert now(cook) == ("lid", False)
    assert page_says(cook, False) == ""
    assert now(cook)[1]
    before_ms = cook.readings[-1]["ms"]
    cook.board.press_lid_button()
    assert now(cook) == ("lid_there", False)
    assert page_says(cook, False) == "not_now"
    assert page_says(cook, False, at_cooker=True) == "not_now"
    assert page_says(cook, False, at_cooker=True, seen_ms=before_ms) == "not_now"
    assert now(cook) == ("lid_there", False)
    assert page_says(cook, False, at_cooker=True, seen_ms=cook.readings[-1]["ms"]) == ""
    assert now(cook)[1]


def test_the_reading_of_a_press_has_seen_it_and_a_second_press_voids_it(start):
    cook = holding(start)
    cook.board.press_lid_button()
    cook.run(3.0)
    pressed = [event for event in cook.events if event["kind"] == "button"][-1]
    seen_ms = next(row["ms"] for row in cook.readings if row["ms"] >= pressed["ms"])
    cook.board.press_lid_button()
    cook.run(2.0)
    assert page_says(cook, False, at_cooker=True, seen_ms=seen_ms) == "not_now"
