"""Power back at three in the morning: what the real firmware does and says, in each mode."""

from __future__ import annotations

import json

import pytest

from tests.virtual.conftest import SmallWorld

FITTED = {"damper": True}
OFF_S, BACK_S = 5.0, 14.0


def running(start, mode, pit_c=120.0):
    """A board under way in `mode`, as somebody at the cooker would have it."""
    cook = start(SmallWorld(pit_c=pit_c), settings=FITTED)
    more = {"hold": {"target_c": 121.0}, "drive": {"stone_c": 270.0}, "bank": {}}[mode]
    cook.order(
        1, "mode", mode=mode, phase={"hold": "slow", "drive": "climb", "bank": "bank"}[mode], at_cooker=True, **more
    )
    cook.run(25.0)
    assert cook.readings[-1]["mode"] == mode
    return cook


def cut(cook, back_s=BACK_S):
    """Power away and back; every drive of the blower since."""
    drives = []
    cook.board.power_cut(OFF_S)
    cook.run(OFF_S + back_s, lambda _s: drives.append(cook.board.drive))
    return drives


def told(cook):
    """What the present start said of its beginning."""
    boot = cook.boot
    return [event["text"] for event in cook.events if event["kind"] == "boot" and event["boot"] == boot]


@pytest.mark.parametrize("mode", ["hold", "drive"])
def test_what_gave_air_stays_off_says_what_it_was_and_waits_for_a_person(start, mode):
    cook = running(start, mode)
    opening = cook.board.opening
    assert set(cut(cook)) == {0.0}
    assert cook.readings[-1]["mode"] == "off"
    assert told(cook) == ["was " + mode, "power"]
    assert cook.board.opening == pytest.approx(opening, abs=0.01)
    cook.order(1, "mode", mode="hold", phase="slow", target_c=121.0)  # the host alone
    cook.run(3.0)
    assert cook.of("reply")[-1]["code"] == "not_now"
    assert cook.board.drive == 0.0
    cook.hold(n=2)
    cook.run(3.0)
    assert cook.readings[-1]["mode"] == "hold"


def test_a_fire_that_is_put_out_goes_on_being_put_out(start):
    cook = running(start, "bank", pit_c=260.0)
    assert "starved_hot" in json.dumps(cook.of("alert/starved_hot")[-1])
    cook.said.clear()
    cook.board.world.pit_c = 250.0
    assert set(cut(cook)) == {0.0}
    assert cook.readings[-1]["mode"] == "bank"
    assert told(cook) == ["was bank", "power"]
    assert cook.board.opening == pytest.approx(0.0, abs=0.01)
    assert cook.of("alert/starved_hot")[-1]["kind"] == "notice"


def test_power_that_fails_twice_is_still_told(start):
    cook = running(start, "hold")
    cut(cook, 6.0)
    cut(cook)
    assert told(cook) == ["was hold", "power"]


def test_a_board_that_was_off_says_nothing(start):
    cook = running(start, "hold")
    cook.order(2, "mode", mode="off")
    cook.run(3.0)
    cut(cook)
    assert told(cook) == ["power"]
