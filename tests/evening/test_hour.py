"""The hour of dinner against zoneinfo: midnight, and the nights on which the clocks change."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from emberdraft.errors import UserError
from emberdraft.evening.hour import moment, say, say_beside

VIENNA = ZoneInfo("Europe/Vienna")


def at(text: str, zone: ZoneInfo = VIENNA) -> float:
    return datetime.fromisoformat(text).replace(tzinfo=zone).timestamp()


def test_without_a_day_it_is_the_next_time_that_the_clock_shows_it():
    now_s = at("2026-12-05T16:00")
    assert moment("19:00", None, now_s, VIENNA) == at("2026-12-05T19:00")
    assert moment("15:00", None, now_s, VIENNA) == at("2026-12-06T15:00")
    assert moment("00:30", None, at("2026-12-31T22:00"), VIENNA) == at("2027-01-01T00:30")


def test_what_has_passed_is_refused_in_one_line():
    with pytest.raises(UserError, match="that has passed, it is 16:00 on 2026-12-05"):
        moment("15:00", "2026-12-05", at("2026-12-05T16:00"), VIENNA)


@pytest.mark.parametrize("hour", ["7pm", "25:00", "19:60", "19", "", "１９:00x"])
def test_what_is_no_hour_is_refused(hour):
    with pytest.raises(UserError, match="write it like 19:00"):
        moment(hour, None, at("2026-12-05T16:00"), VIENNA)


@pytest.mark.parametrize("day", ["5.12.2026", "2026-02-30", "tomorrow", "9999-12-31"])
def test_what_is_no_day_is_refused(day):
    with pytest.raises(UserError, match=r"2026-12-05|next weeks|leave it out") as refused:
        moment("23:59", day, at("2026-12-05T16:00"), VIENNA)
    assert "\n" not in str(refused.value)


def test_an_hour_that_is_left_out_in_spring_is_refused():
    """Directive 2000/84/EC: the last Sunday of March, 01:00 UTC; in Vienna 02:00 becomes 03:00."""
    with pytest.raises(UserError, match="03:30 would be right"):
        moment("02:30", "2027-03-28", at("2027-03-27T12:00"), VIENNA)


def test_an_hour_that_comes_twice_in_autumn_is_the_first():
    """The last Sunday of October: 02:30 is at 00:30 UTC, and again at 01:30."""
    said_s = moment("02:30", "2026-10-25", at("2026-10-24T12:00"), VIENNA)
    assert datetime.fromtimestamp(said_s, UTC) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_over_the_night_the_clocks_change_the_hours_are_counted_as_they_pass():
    """Ten hours before a dinner at noon it is 01:00 in spring and 03:00 in autumn, by hand."""
    spring_s = moment("12:00", "2027-03-28", at("2027-03-27T12:00"), VIENNA)
    autumn_s = moment("12:00", "2026-10-25", at("2026-10-24T12:00"), VIENNA)
    assert say(spring_s - 36000.0, VIENNA) == "01:00"
    assert say(autumn_s - 39600.0, VIENNA) == "02:00"
    assert say_beside(spring_s - 50000.0, spring_s, VIENNA).endswith("on 2027-03-27")
