"""No false trip on cookers that the board has never met, and a probe that freezes in the climb is told in time."""

from __future__ import annotations

import pytest

from emberboard.core.interlocks import FROZEN_FULL_S
from tests.proof.fixture import Proof
from tests.safety import false_alarms
from tests.safety.false_alarms import KINDS, ODDS, TOO_HOT, FaultFree, Found
from tests.safety.frozen_climbs import Frozen

COOKS, BLOCKS = 420, 14
CLIMBS = 140
WITHIN_S = 360


@pytest.mark.parametrize("seed", [14, 53])
def test_a_fault_free_cook_on_a_cooker_made_odd_is_not_stopped(seed: int):
    found = false_alarms.search([seed])
    assert found.false_stops() == []
    assert found.hours > 3.5, "it went through"


def test_a_fire_that_full_air_cannot_save_is_stopped_rightly():
    """A thin steel cooker in the wind: its bed shrinks under full air until it is out, with more than 2 kg left."""
    found = false_alarms.search([5])
    assert [(alarm.name, alarm.right) for alarm in found.alarms] == [("not_answering", True)]


def test_the_search_finds_a_guard_that_trips_a_fire_that_burns(monkeypatch: pytest.MonkeyPatch):
    """A grease fire that is not waited for: a thin pail comes back from its first lid faster than that."""
    monkeypatch.setattr("emberboard.core.interlocks.grease_fire", lambda quick_c, slow_c, _: quick_c - slow_c >= 20.0)
    assert [alarm.name for alarm in false_alarms.search([8]).false_stops()] == ["grease_fire"]


def test_a_probe_that_freezes_in_the_climb_is_told():
    climb = Frozen(14).run()
    assert climb.said
    assert climb.blind_s is not None
    assert climb.blind_s <= WITHIN_S


def test_every_kind_of_cooker_meets_every_oddity():
    met = {(cook.cooker, cook.odd) for cook in (FaultFree(seed) for seed in range(len(KINDS) * len(ODDS)))}
    assert len(met) == len(KINDS) * len(ODDS) == 70


@pytest.mark.prove("safety: fault-free cooks")
@pytest.mark.parametrize("block", range(BLOCKS))
def test_four_hundred_fault_free_cooks(block: int, proof: Proof):
    """Trips and pauses of a fire that burned: none. Notices, and cooks that overshot into their limit, are told."""
    each = COOKS // BLOCKS
    seeds = range(block * each, (block + 1) * each)
    found: Found = false_alarms.search(seeds)
    name = f"cooks {seeds.start} to {seeds.stop - 1}"
    stops = found.false_stops()
    beside = f"{found.hours:.0f} h; all alarms: {found.names(found.alarms)}"
    proof.promise(f"{name}: fires that burned and were stopped", len(stops), equals=0, note=beside)
    hot = [alarm for alarm in found.alarms if alarm.stops and alarm.name in TOO_HOT and alarm.right]
    proof.record(
        f"{name}: cooks that truly came to a limit, or rose like a grease fire", len(hot), note=found.names(hot)
    )
    notices = [alarm for alarm in found.alarms if not alarm.stops and not alarm.right]
    proof.record(f"{name}: notices of a fire that burned", len(notices), note=found.names(notices))


@pytest.mark.prove("safety: fault-free cooks")
def test_probes_that_freeze_in_the_climb(proof: Proof):
    """Full air after a rise of 30 degC that nobody was told of; where less air ends it, nothing need be said."""
    cooks = [Frozen(seed).run() for seed in range(CLIMBS)]
    tripped = [cook.no_climb for cook in cooks if cook.no_climb]
    proof.record("cooks that were tripped in their hold, and had no climb", len(tripped), note="; ".join(tripped))
    climbs = [cook for cook in cooks if cook.blind_s is not None]
    blind = {full: [climb.blind_s or 0 for climb in climbs if climb.full == full] for full in (True, False)}
    said = sum(climb.said for climb in climbs)
    name = "full air after a true rise of 30 degC behind a frozen probe, the longest, s"
    note = f"of {len(blind[True])} climbs; {said} of all {len(climbs)} were told, the others ended their air"
    proof.promise(name, max(blind[True]), at_most=WITHIN_S, note=note)
    name = "the same where the air was not full during the rise"
    proof.promise(name, max(blind[False]), at_most=FROZEN_FULL_S, note=f"of {len(blind[False])} climbs")
