"""Another pull temperature in mid-cook: bounds, board, prompts, forecast, record, and Undo."""

from __future__ import annotations

import json

import pytest

from emberdraft.daemon.conductor import Conductor
from emberdraft.daemon.steps import RefusedError
from emberdraft.errors import UserError
from emberdraft.food.forecast import PullForecast
from emberdraft.said import render
from tests.daemon.cook import Cook, plan_of


def cooking() -> Cook:
    c = Cook(plan_of()).to("slow")
    c.tick()
    c.answer("put_on")
    return c


def test_board_prompt_and_pull_follow():
    c = cooking()
    c.view.core_c = [57.5, 30.0]
    c.tick(5)
    assert [p.letters for p in c.conductor.prompts] == [["A"]]
    c.command("pull_at", letter="A", pull_c=60.0)
    assert c.kinds() == []  # no longer due
    assert c.orders("pieces")[-1]["pull_c"][0] == 60.0
    c.tick(5)
    assert c.kinds() == []
    c.command("pull_at", letter="A", pull_c=54.0)
    c.tick(5)
    assert [p.letters for p in c.conductor.prompts] == [["A"]]


def test_it_survives_a_restart_and_what_is_pulled_hotter_than_it_was_to_end_ends_there():
    c = cooking()
    c.command("pull_at", letter="A", pull_c=71.0)
    again = Conductor(c.plan)
    again.restore(json.loads(json.dumps(c.conductor.state())))
    assert next((p.pull_c, p.final_c) for p in again.plan.pieces) == (71.0, 71.0)
    c.command("pull_at", letter="A", pull_c=57.0)
    assert c.conductor.plan.pieces[0].final_c == 63.0


@pytest.mark.parametrize(
    ("letter", "pull_c", "said"),
    [("A", 5.0, "20 to 110"), ("A", 400.0, "20 to 110"), ("A", "hot", "20 to 110"), ("Z", 55.0, "A, B is")],
)
def test_outside_the_bounds_of_food_it_is_refused_and_changes_nothing(letter, pull_c, said):
    c = cooking()
    before = c.conductor.state()
    with pytest.raises(RefusedError, match=said):
        c.command("pull_at", letter=letter, pull_c=pull_c)
    assert c.conductor.state() == before


def test_a_piece_that_is_out_is_no_longer_asked():
    c = cooking()
    c.command("pulled", letter="A")
    with pytest.raises(RefusedError, match="B is"):
        c.command("pull_at", letter="A", pull_c=60.0)


def test_the_record_the_forecast_and_undo(rig):
    rig.to_slow()
    for k in range(700):
        rig.run(1, core_c=[5.0 + 0.04 * k, 5.0 + 0.02 * k], pit_c=115.0)
    service, cook_id = rig.service, rig.service.now()["cook"]["id"]
    before_s = service.live.forecasts["A"]["eta_s"]
    service.command("pull_at", letter="A", pull_c=50.0)
    assert service.live.forecasts["A"]["eta_s"] < before_s  # at once, without another reading
    assert rig.store.pieces(cook_id)[0]["pull_c"] == 50.0
    state = service.now()
    assert str(state["marks"][-1]["label"]) == "Pull A at 50\u00a0°C"
    assert "50\u00a0°C" in render(next(line for line in state["ledger"] if line["key"] == "core1")["heading"])
    assert state["deeper"]["pull"]["pieces"][0]["pull_c"] == 50.0
    shown = state["deeper"]["pull"]["pieces"][0]
    assert "USDA" in str(shown["caution"]) and "below it" in str(shown["caution"])
    first = state["last"]["undo"]["mark_id"]
    service.command("pull_at", letter="A", pull_c=60.0)
    service.undo(**service.now()["last"]["undo"])
    assert rig.store.pieces(cook_id)[0]["pull_c"] == 50.0
    service.undo(first)
    assert rig.store.pieces(cook_id)[0]["pull_c"] == 57.0
    assert "pull_at" not in [m["kind"] for m in rig.store.marks(cook_id)]
    assert service.live.forecasts["A"]["eta_s"] == pytest.approx(before_s, rel=0.2)  # drawn anew


def test_it_is_a_mark_as_well_as_a_command(rig):
    rig.to_slow()
    rig.service.mark("pull_at", 52.0, "A")
    cook_id = rig.service.now()["cook"]["id"]
    assert rig.store.pieces(cook_id)[0]["pull_c"] == 52.0
    assert [m["kind"] for m in rig.store.marks(cook_id)].count("pull_at") == 1
    with pytest.raises(UserError, match="20 to 110"):
        rig.service.mark("pull_at", None, "A")


def test_the_forecast_keeps_what_it_has_learnt():
    forecast = PullForecast(57.0)
    for k in range(200):
        said = forecast.update(10.0 * k, 5.0 + 0.2 * k, 115.0)
    forecast.aim(50.0)
    nearer = forecast.update(2000.0, 45.0, 115.0)
    assert nearer["eta_s"] is not None and said["eta_s"] is not None
    assert 0.0 < nearer["eta_s"] < said["eta_s"]
    forecast.aim(44.0)
    assert forecast.update(2010.0, 45.0, 115.0)["eta_s"] == 0.0
    forecast.aim(60.0)
    assert forecast.update(2020.0, 45.1, 115.0)["eta_s"] > nearer["eta_s"]
