"""The table of calls: complete, as the firmware means it, and the same on docs/reference/calls.md."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from emberboard.core.words import ALERTS
from emberdraft.daemon.alarm_texts import HOST_ALERTS, TEXTS
from emberdraft.daemon.calls_table import ASLEEP, COOKER, LATE_S, ROWS, SOON_S, TABLE, WHOM, Call
from emberdraft.daemon.prompt_kinds import PROMPT_KINDS
from tests.calls_page import PAGE, page_text

CORE = Path(__file__).parents[2] / "firmware" / "emberboard" / "core"


def raised_as(kind: str) -> set[str]:
    """What the board's own source puts as a pause, a trip or a notice, by name."""
    source = "".join(path.read_text(encoding="utf-8") for path in CORE.glob("*.py"))
    found = re.findall(rf'(?:put|say)\(\s*"(\w+)",\s*"{kind}"', source)
    return {*found, *(re.findall(r'(?:_once|Over)\(\s*"(\w+)"', source) if kind == "trip" else ())}


def test_the_page_is_made_from_the_table() -> None:
    assert PAGE.read_text(encoding="utf-8") == page_text(), "run `python -m tests.calls_page`"


def test_every_alarm_and_every_prompt_has_one_row_and_no_row_is_of_the_past() -> None:
    wanted = [("alarm", name) for name in (*ALERTS, *HOST_ALERTS)] + [("prompt", kind) for kind in PROMPT_KINDS]
    assert sorted(TABLE) == sorted(wanted)
    assert len(ROWS) == len(TABLE)
    assert set(TEXTS) == {name for of, name in wanted if of == "alarm"}


def test_what_the_firmware_raises_as_a_trip_wakes_a_sleeper_and_goes_out_a_second_time() -> None:
    trips = {row.id for row in ROWS if row.trip}
    assert {"not_answering", "runaway", "grease_fire", "blower_fault", "memory_bad"} <= raised_as("trip") <= trips
    assert not trips & (raised_as("notice") | raised_as("pause"))
    assert all((row.whom, row.second_after_s) == (ASLEEP, SOON_S) for row in ROWS if row.trip)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.of}-{row.id}")
def test_a_row_is_whole(row: Call) -> None:
    assert row.whom in WHOM
    assert row.what[0].isupper()
    if row.whom == COOKER:
        assert (row.asleep_after_s, row.second_after_s) == (None, None)
    else:
        assert row.second_after_s in (SOON_S, LATE_S)


def test_who_sleeps_is_woken_by_what_was_asked_for() -> None:
    """Trips, fire lost, food ready or about to be unsafe, fuel that will not last, a plan's end, a silent board."""
    wakes = {row.id for row in ROWS if row.asleep_after_s is not None}
    assert {"not_answering", "fuel_out", "food_unsafe", "fuel_short", "no_link", "pull", "check", "shut_vents"} <= wakes
    assert not {"set_up", "put_on", "flip", "starved_hot"} & wakes
