"""A link is judged by the age of the last reading; what others say of it counts only until then."""

from __future__ import annotations

import pytest

from emberdraft.daemon.liveness import Liveness


def test_never_heard() -> None:
    view = Liveness().view(100.0)
    assert (view.state, view.heard_s, view.boot) == ("never", None, None)
    assert view.text == "The board has not been heard yet."


def test_online_alone_is_no_proof_of_life() -> None:
    link = Liveness()
    link.told("online", "a", 100.0)
    assert (link.view(100.0).state, link.view(100.0).boot) == ("never", "a")


@pytest.mark.parametrize(("age_s", "state"), [(0.0, "online"), (10.0, "online"), (10.1, "silent"), (7200.0, "silent")])
def test_ten_seconds_without_a_reading_are_silence(age_s: float, state: str) -> None:
    link = Liveness()
    link.heard("a", 0.0)
    view = link.view(age_s)
    assert (view.state, view.heard_s) == (state, age_s)


def test_at_sixty_times_a_busy_computer_may_take_two_real_seconds() -> None:
    link = Liveness(speed=60.0)
    link.heard("a", 0.0)
    assert (link.view(120.0).state, link.view(121.0).state) == ("online", "silent")


def test_the_will_ends_it_at_once_and_a_newer_reading_begins_it_again() -> None:
    link = Liveness()
    link.heard("a", 100.0)
    link.told("offline", "a", 101.0)
    assert link.view(101.0).state == "offline"
    link.heard("a", 102.0)
    assert link.view(102.0).state == "online"


def test_the_will_of_an_earlier_start_does_not_end_the_present_one() -> None:
    link = Liveness()
    link.told("online", "b", 100.0)
    link.heard("b", 100.5)
    link.told("offline", "a", 101.0)
    assert (link.view(101.0).state, link.view(101.0).boot) == ("online", "b")


def test_readings_of_an_earlier_start_say_nothing_of_a_new_one() -> None:
    link = Liveness()
    link.heard("a", 100.0)
    link.told("online", "b", 101.0)
    assert (link.view(101.0).state, link.view(101.0).heard_s) == ("never", None)


def test_a_clock_that_steps_back_gives_no_negative_age() -> None:
    link = Liveness()
    link.heard("a", 100.0)
    assert link.view(90.0).heard_s == 0.0


@pytest.mark.parametrize(("age_s", "words"), [(30.0, "30 s ago"), (119.0, "119 s ago"), (600.0, "10 min ago")])
def test_the_sentence_says_since_when_and_that_the_board_holds_on(age_s: float, words: str) -> None:
    link = Liveness()
    link.heard("a", 0.0)
    text = link.view(age_s).text
    assert words in text
    assert "holds on by itself" in text
