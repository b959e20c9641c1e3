"""Power that came back in mid-cook leaves the board without air: somebody is called, with a plan or without one."""

from __future__ import annotations

import pytest

from emberboard.core.words import MODES
from emberdraft.daemon.calls_table import ASLEEP, TABLE
from emberdraft.daemon.power_watch import CUT_SHORT, PowerWatch
from tests.daemon.test_service import rig as rig  # the fixture


def start(text: str, boot: str = "b2") -> dict:
    return {"kind": "boot", "text": text, "value": None, "limit": None, "boot": boot, "late": True}


def alarms(rig) -> list[str]:
    return [alarm["id"] for alarm in rig.service.now()["alarms"] if alarm["state"] == "unacknowledged"]


@pytest.mark.parametrize("text", ["was hold", "was drive"])
def test_a_start_in_mid_cook_calls_a_sleeper_without_any_plan(rig, text: str) -> None:
    rig.run(5, mode="hold")
    rig.service.on_records("yard", [{**start(text), "seq": 0, "ms": 0, **rig.stamp()}])
    rig.run(2, boot="b2", mode="off")
    rig.service.tick()
    assert alarms(rig) == ["air_off"]
    assert TABLE[("alarm", "air_off")].wakes(0.0) == ASLEEP
    assert any("started again" in notice["text"] or "started again" in notice["title"] for notice in rig.notices)


def test_it_is_over_once_a_person_has_ordered_something(rig) -> None:
    rig.run(5, mode="hold")
    rig.service.on_records("yard", [{**start("was hold"), "seq": 0, "ms": 0, **rig.stamp()}])
    rig.run(2, boot="b2", mode="off")
    rig.service.tick()
    rig.run(2, mode="bank")
    rig.service.tick()
    assert alarms(rig) == []


@pytest.mark.parametrize(("text", "boot"), [("was bank", "b1"), ("power", "b1"), ("asked", "b1"), ("was hold", "b0")])
def test_a_start_that_took_no_air_away_or_is_not_the_present_one_calls_nobody(text: str, boot: str) -> None:
    watch = PowerWatch()
    watch.hear(start(text, boot))
    assert watch.look({"boot": "b1", "mode": "off"}) is None
    assert watch.look(None) is None


def test_the_words_are_those_that_a_board_says() -> None:
    assert set(CUT_SHORT) == {f"was {mode}" for mode in MODES} - {"was off", "was bank"}
