"""Before bed: what may wake a person tonight, whether a phone is reached, how long the charcoal lasts."""

from __future__ import annotations

import pytest

from emberdraft.commands.calls import lines
from emberdraft.daemon.notice_desk import OFF
from emberdraft.daemon.plan import parse_plan
from emberdraft.ready.fuel import SPARE
from tests.daemon.cook import plan_of
from tests.daemon.test_deeper import SAID
from tests.daemon.test_service import Rig


@pytest.fixture
def rig(tmp_path):
    made = Rig(tmp_path / "cooks.sqlite")
    made.service.live.desk._start = made.service.live.pulls._start = lambda _job: None
    yield made
    made.store.close()


def test_without_a_cook_and_a_way_out_it_says_so(rig):
    told = rig.service.before_bed()
    assert told["tonight"] == []
    assert (told["notices"]["ok"], told["notices"]["text"]) == (False, OFF)
    assert told["charcoal"]["text"] == "No cook is running."
    assert "The board is silent, when it lasts 10\u00a0min" in told["whenever"]
    assert "Food about to be unsafe" in told["whenever"]


def test_it_names_each_food_and_the_end_of_the_plan(rig):
    rig.to_slow()
    told = rig.service.before_bed()
    texts = [row["text"] for row in told["tonight"]]
    assert {"Pull the tempered chop (A)", "Pull the cold chop (B)", "The end of the plan: shut both vents"} == set(
        texts
    )
    assert any(row["at_s"] is not None for row in told["tonight"])


def test_under_a_trip_no_moment_is_said(rig):
    rig.to_slow()
    rig.service.on_alert("yard", "pit_over_limit", {"kind": "trip", "value": 351.0, "limit": 350.0})
    assert all(row["at_s"] is None for row in rig.service.before_bed()["tonight"])


def test_how_many_hours_the_charcoal_lasts_against_those_of_the_plan(rig):
    # 1 kg without the spare, less 0.4 kg burnt, at the pace of 0.6 kg in 4 h: hand calculation.
    text = plan_of(('vent_top = "1/4"', 'vent_top = "1/4"\ncharcoal = "1 kg"')).text
    rig.service.start_cook(parse_plan(text))
    rig.run()
    rig.service.live.fuel.said, rig.service.live.fuel.left_s = SAID, 4.0 * 3600.0
    charcoal = rig.service.before_bed()["charcoal"]
    wanted_h = 4.0 * (1.0 * (1.0 - SPARE) - SAID.burnt_kg) / (SAID.kg - SAID.burnt_kg)
    assert charcoal["lasts_h"] == pytest.approx(wanted_h, abs=0.05)
    assert charcoal["needs_h"] == 4.0
    assert "that is not enough: add charcoal before you go to bed" in charcoal["text"]


def test_the_command_prints_it_in_lines(rig):
    rig.to_slow()
    said = list(lines(rig.service.before_bed()))
    assert said[0] == f"Phone: NOT reached: {OFF}."
    assert any(line.endswith("Pull the tempered chop (A)") for line in said)
