"""The evening beside the service: drawn each minute, a slip said with its moves, and nothing moved by itself."""

from __future__ import annotations

from datetime import datetime

from emberdraft.daemon.evening_watch import AGAIN_S
from emberdraft.daemon.plan import parse_plan
from emberdraft.said import render
from tests.daemon.cook import plan_of

SOON_S = 2400.0


def cooking(rig, dinner_in_s: float):
    """Food has just gone on, and dinner is so long after the cook was begun."""
    at = datetime.fromtimestamp(rig.clock.at_s + dinner_in_s)
    text = plan_of().text.replace("version = 1", f'version = 1\nserve = "{at:%H:%M}"', 1)
    rig.service.start_cook(parse_plan(text))
    rig.run()
    rig.answer("light")
    rig.run(70, pit_c=115.0)
    rig.run(1000)
    rig.answer("set_up")
    rig.run(200)
    rig.answer("put_on")
    rig.run(int(AGAIN_S) + 1)
    return rig.service


def test_a_slip_is_said_with_moves_and_nothing_moves_by_itself(rig) -> None:
    service = cooking(rig, SOON_S)
    orders = list(rig.line.sent)
    rig.run(200)
    row = service.now()["evening"]
    assert row["slip"].startswith("Dinner is likely to be ") and " late: about " in row["slip"]
    assert row["steps"][-1]["name"] == "ready" and row["on_time_share"] < 0.5
    first = row["moves"][0]
    assert render(first["text"]).startswith("Pit 135\u00a0°C instead of 115\u00a0°C: ")
    assert render(first["text"], "f").startswith("Pit 275\u00a0°F instead of 239\u00a0°F: ")
    assert rig.line.sent == orders and service.now()["phase"]["target_c"] == 115.0
    said = service.foresee(first["name"], **first["args"])
    assert any(str(line).startswith("Dinner about ") for line in said["lines"])


def test_an_agreed_move_is_drawn_at_once_and_what_was_said_before_is_over(rig) -> None:
    service = cooking(rig, SOON_S)
    before_s = service.now()["evening"]["steps"][-1]["at_s"]
    service.command("target", target_c=135.0, from_now_on=True, at_cooker=True)
    rig.run(2)
    assert service.now()["evening"]["steps"][-1]["at_s"] < before_s - 180.0


def test_without_an_hour_of_dinner_it_is_drawn_and_nothing_slips(rig) -> None:
    rig.to_slow()
    rig.run(int(AGAIN_S) + 1)
    row = rig.service.now()["evening"]
    assert (row["serve_s"], row["slip"], row["moves"]) == (None, "", [])


def test_without_food_there_is_no_evening(rig) -> None:
    rig.service.start_cook(plan_of(name="hold"))
    rig.run()
    rig.answer("light")
    rig.run(int(AGAIN_S) + 1)
    assert rig.service.now()["evening"] is None
