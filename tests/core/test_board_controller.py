"""The bench's adapter: its contract, from a cold start to a jump of phase."""

from __future__ import annotations

import math

import pytest

from emberdraft.bench import BoardController


def meas(pit_c: float | None, fault: str = "", stone_c: float | None = None) -> dict:
    """What a bench measures."""
    return {"pit_c": pit_c, "stone_c": stone_c, "core_c": [None], "fault": fault}


def test_one_step_returns_the_five_names_and_air_within_range():
    air = BoardController().update(1.7e9, meas(20.0), 121.0, "light")
    assert set(air) == {"blower", "intake", "trips", "notices", "estimate"}
    assert 0.0 <= air["blower"] <= 1.0 and 0.0 <= air["intake"] <= 1.0
    assert (air["trips"], air["notices"]) == ([], [])


@pytest.mark.parametrize("start_s", [0.0, -500.0, 12345.678, 1.7e9])
def test_the_time_may_start_anywhere(start_s: float):
    controller = BoardController()
    for k in range(60):
        air = controller.update(start_s + k, meas(20.0 + 0.1 * k), 121.0, "slow")
    assert air["blower"] == 1.0


@pytest.mark.parametrize("value", [None, math.nan])
def test_an_open_pit_probe_is_a_trip_in_three_samples_and_needs_acknowledging(value: float | None):
    controller = BoardController()
    for k in range(60):
        controller.update(float(k), meas(90.0), 121.0, "slow")
    for k in range(60, 63):
        air = controller.update(float(k), meas(value, "open"), 121.0, "slow")
    assert (air["blower"], air["trips"]) == (0.0, ["pit_sensor"])
    for k in range(63, 100):
        air = controller.update(float(k), meas(90.0), 121.0, "slow")
    assert (air["blower"] > 0.0, air["trips"]) == (True, ["pit_sensor"])
    controller.acknowledge()
    assert controller.update(100.0, meas(90.0), 121.0, "slow")["trips"] == []


def test_climb_counts_as_at_the_cooker_with_the_top_vent_open():
    controller = BoardController()
    for k in range(30):
        air = controller.update(float(k), meas(110.0, stone_c=105.0), 260.0, "climb")
    assert air["blower"] == 1.0


def test_without_a_stone_probe_climb_runs_on_the_estimate():
    controller = BoardController()
    for k in range(30):
        air = controller.update(float(k), meas(110.0), 260.0, "climb")
    assert air["blower"] == 1.0
    assert air["trips"] == air["notices"] == []


def test_bank_shuts_the_air():
    controller = BoardController()
    controller.update(0.0, meas(110.0), 121.0, "slow")
    air = controller.update(1.0, meas(110.0), 121.0, "bank")
    assert (air["blower"], air["intake"]) == (0.0, 0.0)


def test_an_opened_lid_is_only_said():
    controller = BoardController()
    for k in range(300):
        controller.update(float(k), meas(121.0), 121.0, "slow")
    for k in range(30):
        air = controller.update(300.0 + k, meas(121.0 - k), 121.0, "slow")
    assert (air["notices"], air["trips"], air["blower"]) == (["lid_open"], [], 0.0)
