"""Cooks in which nothing is wrong, on all six cookers: no pause, no trip, no notice. A false alarm is a defect too."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.proof.fixture import Proof
from tests.safety.kitchen import COOKERS, HealthyCook, Kitchen

COUNT = 120


@pytest.mark.parametrize("seed", range(6))
def test_a_healthy_cook_on_each_cooker_is_silent(seed: int):
    assert HealthyCook(seed).run().alarms == []


@pytest.mark.prove("safety: false alarms")
def test_a_hundred_and_twenty_healthy_cooks(proof: Proof):
    runs = [HealthyCook(seed) for seed in range(COUNT)]
    alarms = [(run.cooker, name) for run in runs for name in run.run().names()]
    hours = sum(run.kitchen.now_s for run in runs) / 3600.0
    names = str(dict(Counter(alarms)) or "")
    proof.promise(f"in {COUNT} healthy cooks on six cookers ({hours:.0f} h)", len(alarms), equals=0, note=names)
    proof.promise("nuisance rate, alarms in 12 h", round(12.0 * len(alarms) / hours, 3), at_most=1.0)


def sear(cooker: str, seed: int) -> Kitchen:
    """A sear of twenty minutes, the lid open and shut with tongs in hand, every change told."""
    kitchen = Kitchen(cooker, seed).hold().minutes(70).drive().minutes(35).drive(phase="sear")
    for k in range(20):
        open_s = (20, 45, 10, 55)[k % 4]
        kitchen.lid(True).run(open_s).lid(False).run(60 - open_s)
    return kitchen


@pytest.mark.parametrize("cooker", COOKERS[:2])
def test_in_the_sear_the_lid_may_go_up_and_down_for_twenty_minutes(cooker: str):
    assert sear(cooker, 3).alarms == []


def test_in_the_sear_the_lid_may_stay_open_for_nearly_twenty_minutes():
    kitchen = Kitchen().hold().minutes(70).drive().minutes(30).drive(phase="sear")
    kitchen.lid(True).minutes(19.9)
    assert kitchen.out.drive == 0.0
    kitchen.lid(False).minutes(5)
    assert kitchen.alarms == []


@pytest.mark.prove("safety: false alarms")
def test_sears_on_all_cookers(proof: Proof):
    alarms = [name for cooker in COOKERS for seed in range(3) for name in sear(cooker, seed).names()]
    proof.promise("in 18 sears with the lid open and shut for 20 min", len(alarms), equals=0, note=" ".join(alarms))


@pytest.mark.prove("safety: false alarms")
def test_a_healthy_twelve_hour_cook_has_at_most_one_alarm(proof: Proof):
    counts = {}
    for cooker in COOKERS:
        kitchen = Kitchen(cooker, 5, ambient_c=12.0, wind_mps=2.0).hold(110.0)
        for hour in range(12):
            kitchen.minutes(57).lid(True, told=bool(hour % 2)).run(90)
            if hour % 3 == 1:
                kitchen.world.add_fuel(0.8)
            kitchen.run(90).lid(False, told=bool(hour % 2))
        counts[cooker] = len(kitchen.alarms)
    proof.promise("alarms in a healthy 12 h cook, the worst of six cookers", max(counts.values()), at_most=1)
