"""The stone's forecast, judged on cooks of simulated cookers that the real control core drove."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor

import numpy as np
import pytest

from emberdraft.ready.stone import NEAR_C, climb_start, crust_s, stone_ready, without_probe
from emberdraft.ready.trace import trace_of
from tests.proof.fixture import Proof
from tests.ready.cooks import Cook, Story, cook

UNSEEN = [(name, draw) for name in ("two_zone", "thin_steel") for draw in range(11, 23)]


def _cook(name: str, draw: int) -> Cook | None:
    """A cook with its own weather, temperatures and times; None when the cooker would not be driven."""
    rng = np.random.default_rng(500 + draw)
    story = Story(
        slow_c=rng.uniform(105.0, 125.0), slow_s=rng.uniform(1800.0, 4200.0), stone_c=rng.uniform(235.0, 275.0),
        vent_top=float(rng.choice([0.2, 0.3, 0.4])), ambient_c=rng.uniform(2.0, 28.0), wind_mps=rng.uniform(0.0, 3.0),
    )  # fmt: skip
    try:
        return cook(name, draw, story)
    except AssertionError:
        return None


def _judge(place: tuple[str, int]) -> tuple[bool, float] | None:
    """(inside the interval, error in s) of what was said at the start of the climb; None: it never got there."""
    made = _cook(*place)
    if made is None:
        return None
    rows, story = made.rows, made.story
    trace = trace_of(rows, made.marks, ambient_c=story.ambient_c, wind_mps=story.wind_mps)
    there = rows["t_s"][(rows["stone_c"] >= story.stone_c - NEAR_C) & (rows["t_s"] > made.climb_s)]
    said = stone_ready(trace.until(made.climb_s - rows["t_s"][0]), story.stone_c)
    if there.size == 0 or said.ready_s is None or said.low_s is None or said.high_s is None:
        return None
    took_s = float(there[0]) - made.climb_s
    return said.low_s <= took_s <= said.high_s, abs(said.ready_s - took_s)


def test_a_climb_on_a_cooker_that_nobody_tuned_on() -> None:
    judged = _judge(("two_zone", 5))
    assert judged is not None
    assert judged[1] < 300.0


def test_without_a_probe_it_is_said_to_be_an_estimate() -> None:
    made = _cook("heavy_ceramic", 2)
    assert made is not None
    trace = without_probe(trace_of(made.rows, made.marks)).until(made.climb_s)
    said = stone_ready(trace, 250.0)
    assert not said.measured
    assert said.ready_s is None or said.ready_s > 0.0
    measured = stone_ready(trace_of(made.rows, made.marks), 150.0)
    assert measured.measured and measured.ready_s == 0.0


@pytest.mark.prove("stone ready")
def test_two_dozen_climbs_on_unseen_cookers(proof: Proof) -> None:
    with ProcessPoolExecutor(2) as pool:
        judged = [found for found in pool.map(_judge, UNSEEN) if found is not None]
    held = float(np.mean([inside for inside, _ in judged]))
    error_s = float(np.median([error for _, error in judged]))
    proof.promise("climbs judged, of 24 drawn", len(judged), at_least=16)
    name = "80 % interval holds, said at the start of the climb"
    proof.promise(name, round(held, 3), at_least=0.70, at_most=0.90)
    proof.promise("median error in s", round(error_s), at_most=180)


def test_the_climb_starts_so_that_the_stone_is_ready_as_the_rest_ends() -> None:
    at_leisure = climb_start(rest_ends_s=3600.0, earliest_s=1000.0, takes_s=1200.0)
    assert (at_leisure.start_s, at_leisure.ready_s, at_leisure.late_s) == (2400.0, 3600.0, 0.0)
    in_haste = climb_start(rest_ends_s=3600.0, earliest_s=3300.0, takes_s=1200.0)
    assert (in_haste.start_s, in_haste.late_s) == (3300.0, 900.0)


def test_the_crust_rule_is_monotone_and_bounded() -> None:
    assert crust_s(260.0) == 75.0
    assert crust_s(300.0) == pytest.approx(37.5)
    assert crust_s(120.0) == 240.0
    assert crust_s(420.0) == 30.0
