"""Scenarios act on the cooker at their times, the same each time; sensors and weather repeat for a seed."""

from __future__ import annotations

import math

import pytest

from emberdraft.bench.cookers import Cooker
from emberdraft.bench.rig import DEEDS, NotPossibleError, Rig, air
from emberdraft.bench.scenarios import MIN, SCENARIOS, Scenario, Step
from emberdraft.bench.sensors import Sensors
from emberdraft.bench.weather import Air, Wind

TRUTH = {"pit_c": 100.0, "stone_c": 90.0, "core_c": [5.0, None]}


def story(*steps: Step) -> Scenario:
    return Scenario("made", "made", 600.0, (Step(0.0, "order", ("slow", 121.0)), *steps), "hold")


def test_all_of_the_promised_scenarios_are_there() -> None:
    promised = "hold setup steps lid60 lid90 pieces sear gusts refuel fuel_out probe_open probe_short probe_offset"
    assert set(SCENARIOS) == {*promised.split(), "probe_frozen", "stuck_off", "stuck_on"}


@pytest.mark.parametrize("name", SCENARIOS)
def test_every_deed_is_known_and_within_the_story(name: str) -> None:
    for step in SCENARIOS[name].steps:
        assert step.deed in DEEDS
        assert step.at_s < SCENARIOS[name].length_s


def test_deeds_happen_at_their_time(toy: Cooker) -> None:
    rig = Rig(toy.build(0), story(Step(2.0, "lid", (True,)), Step(4.0, "lid", (False,))), 0)
    seen = []
    for _ in range(5):
        seen.append(rig.lid_open)
        rig.advance(1.0, 0.0, 0.0)
    assert seen == [False, False, True, True, False]


def test_a_scenario_repeats_exactly(toy: Cooker) -> None:
    def run() -> list[float]:
        rig = Rig(toy.build(3), SCENARIOS["gusts"], 3)
        return [rig.advance(5.0, 0.3, 1.0)["pit_c"] for _ in range(1500)]

    assert run() == run()


def test_a_copy_runs_on_its_own(toy: Cooker) -> None:
    rig = Rig(toy.build(0), SCENARIOS["hold"], 0)
    rig.advance(1.0, 1.0, 1.0)
    before_c = rig.plant.step(0.0, rig.inputs(0.0, 0.0))["pit_c"]
    rig.copy().advance(5.0, 1.0, 1.0)
    assert rig.plant.step(0.0, rig.inputs(0.0, 0.0))["pit_c"] == before_c


def test_without_preview_forgets_later_orders_but_not_the_weather(toy: Cooker) -> None:
    rig = Rig(toy.build(0), story(Step(5.0, "order", ("slow", 135.0)), Step(5.0, "lid", (True,))), 0)
    twin = rig.without_preview()
    for _ in range(6):
        twin.advance(1.0, 0.0, 0.0)
    assert (twin.target_c, twin.lid_open) == (121.0, True)


def test_a_stuck_blower_does_not_listen(toy: Cooker) -> None:
    rig = Rig(toy.build(0), story(Step(0.0, "blower", (1.0,))), 0)
    assert rig.inputs(0.2, 0.5)["blower"] == 1.0


def test_a_cooker_that_cannot_be_refuelled_says_so(toy: Cooker) -> None:
    with pytest.raises(NotPossibleError, match="add_fuel"):
        Rig(toy.build(0), story(Step(0.0, "refuel", (1.0,))), 0)


def test_air_rises_with_the_level() -> None:
    assert [air(level) for level in (-1.0, 0.5, 1.0, 1.25, 3.0)] == [
        (0.0, 0.0),
        (0.0, 0.5),
        (0.0, 1.0),
        (0.25, 1.0),
        (1.0, 1.0),
    ]


def test_readings_come_in_quarters_of_a_degree() -> None:
    sensors = Sensors(1)
    for t_s in range(50):
        pit_c = sensors.read(float(t_s), 1.0, TRUTH, "", 0.0)["pit_c"]
        assert pit_c * 4.0 == round(pit_c * 4.0)


def test_a_probe_lags_by_its_time_constant() -> None:
    """A first-order lag has 1 - 1/e of a step after one time constant."""
    sensors = Sensors(2)
    pit = sensors._pit
    pit.noise_c = pit.drift_c = 0.0
    pit.resolution_c = 1e-6
    pit.lag_s = 10.0
    pit.read(0.0, 1.0, 0.0)
    readings = [pit.read(float(t_s), 1.0, 100.0) for t_s in range(10)]
    assert readings[-1] == pytest.approx(100.0 * (1.0 - math.exp(-1.0)), abs=1e-4)


@pytest.mark.parametrize(("fault", "pit_c"), [("open", None), ("short", None)])
def test_a_broken_probe_has_a_name_and_no_value(fault: str, pit_c: None) -> None:
    meas = Sensors(1).read(0.0, 1.0, TRUTH, fault, 0.0)
    assert (meas["pit_c"], meas["fault"]) == (pit_c, fault)


def test_a_frozen_probe_repeats_and_an_offset_one_lies_without_a_name() -> None:
    sensors = Sensors(1)
    frozen = [sensors.read(float(t_s), 1.0, {**TRUTH, "pit_c": 100.0 + t_s}, "frozen", 0.0) for t_s in range(20)]
    assert len({meas["pit_c"] for meas in frozen}) == 1
    low = [Sensors(1).read(0.0, 1.0, TRUTH, fault, -20.0) for fault in ("", "offset")]
    assert low[0]["pit_c"] - low[1]["pit_c"] == 20.0
    assert low[1]["fault"] == ""


def test_a_removed_piece_has_no_core() -> None:
    assert Sensors(1).read(0.0, 1.0, TRUTH, "", 0.0)["core_c"][1] is None


def test_gusts_blow_only_in_their_stretch() -> None:
    wind = Wind(5)
    wind.gust(1000.0, 2000.0)
    calm = [wind.at(float(t_s)) for t_s in (*range(1000), *range(2200, 3000))]
    assert max(calm) <= 1.5 < 3.0 <= max(wind.at(float(t_s)) for t_s in range(1000, 2000))


def test_the_ambient_falls_as_told() -> None:
    outside = Air(20.0)
    outside.change(100.0, -20.0, 300.0)
    assert [outside.at(t_s) for t_s in (0.0, 250.0, 5000.0)] == [20.0, 10.0, 0.0]
    assert MIN == 60.0
