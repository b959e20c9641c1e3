"""The evening that is to come as lines: to the climb, to the sear, and each piece that waits."""

from __future__ import annotations

from dataclasses import replace

from emberdraft.daemon.evening_ahead import ahead_rows
from emberdraft.daemon.evening_watch import Drawn
from emberdraft.evening.going import Evening, outlook
from emberdraft.evening.habits import habits_of
from emberdraft.evening.past import Past
from emberdraft.evening.wanted import Food, Searing, Wanted

CHOP = Food("A", "chop", "chop", 57.0, thickness_m=0.04)
NOW_S = 7200.0
MOMENTS = {"lit": 0.0, "at_heat": 1800.0, "set_in": 3600.0, "settled": 4300.0, "A on": 4400.0}
WANTED = Wanted(115.0, (CHOP, replace(CHOP, letter="B")), sear=Searing(260.0))


def rows(**more: float):
    evening = Evening(WANTED, Past(NOW_S, {**MOMENTS, **more}, after_s={"B": 0.0}), None, {})
    drawn = Drawn(evening, outlook(evening, habits_of(())), "", [])
    return {row["key"]: row for row in ahead_rows(drawn, {"A": 0, "B": 1}, 150.0)}, dict(drawn.outlook.steps)


def test_the_pit_goes_to_the_climb_the_stone_to_the_sear_and_a_waiting_piece_to_its_pull() -> None:
    found, steps = rows()
    assert set(found) == {"pit", "stone", "core2"}
    assert (found["pit"]["from_s"], found["pit"]["at_s"], found["pit"]["value_c"]) == (None, steps["climb"][1], 115.0)
    stone = found["stone"]
    assert (stone["from_s"], stone["from_c"], stone["value_c"]) == (steps["climb"][1], 150.0, 260.0)
    assert (stone["low_s"], stone["at_s"], stone["high_s"]) == steps["sear"]
    waits = found["core2"]
    assert (waits["from_s"], waits["from_c"], waits["value_c"]) == (steps["B on"][1], 4.0, 57.0)
    assert waits["low_s"] < waits["at_s"] < waits["high_s"]


def test_what_has_been_is_no_longer_ahead() -> None:
    found, _ = rows(**{"B on": 4400.0, "A out": 7000.0, "B out": 7100.0, "climb": 7150.0})
    assert set(found) == {"stone"}
    assert rows(**{"B on": 4400.0, "A out": 6000.0, "B out": 6100.0, "climb": 6200.0, "sear": 7000.0})[0] == {}
