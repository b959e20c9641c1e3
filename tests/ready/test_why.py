"""Why is it not hotter: cases built on simulated cookers, and the advice tried on them."""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from typing import Any

import pytest

from emberdraft.ready.trace import trace_of
from emberdraft.ready.why import ASK_FIRST, NEAR_C, Why, why_not_hotter
from tests.proof.fixture import Proof
from tests.ready.cooks import Run, Story

CASES: dict[str, dict[str, Any]] = {
    "air": {"vent_climb": 0.02, "choke_climb": 0.12},  # forgotten shut though marked open, ash on the grate
    "fuel": {"fuel_left_kg": 0.15},
    "loss": {"loss_climb": 6.0, "ambient_c": 5.0, "stone_c": 380.0},
    "time": {"climb_s": 600.0},
}
PLACES = [(name, limit) for name in ("two_zone", "thin_steel", "small_ceramic") for limit in CASES]
ON_S = 1500.0  # what any advice is given to show itself


def _climbed(name: str, limit: str) -> tuple[Run, float]:
    run = Run(name, 1, Story(**{"stone_c": 330.0, "climb_s": 2100.0, **CASES[limit]}))
    run.light()
    return run, run.climb(run.slow())


def _judged(run: Run, climb_s: float) -> Why:
    made = run.done(climb_s)
    trace = trace_of(made.rows, made.marks, ambient_c=run.story.ambient_c, wind_mps=run.story.wind_mps)
    return why_not_hotter(trace, climb_s - made.rows["t_s"][0], run.story.stone_c)


def _followed(name: str, limit: str) -> tuple[str, float]:
    """What is said, and by how much hotter the stone is with the advice than without it.

    Both are read when the first of the two comes near its target (then the board holds it back), or at the end. Where
    it is told to go on, not to heed that is to stop.
    """
    run, climb_s = _climbed(name, limit)
    said = _judged(run, climb_s)
    other, _ = _climbed(name, limit)
    run.heed(said.limit)
    pairs = list(zip(run.drive_on(ON_S), other.drive_on(ON_S, stop=said.limit == "time"), strict=True))
    near = (pair for pair in pairs if max(pair) >= run.story.stone_c - NEAR_C)
    heeded_c, not_c = next(near, pairs[-1])
    return said.limit, heeded_c - not_c


def test_a_forgotten_vent_is_named_and_asked_first() -> None:
    run, climb_s = _climbed("heavy_ceramic", "air")
    said = _judged(run, climb_s)
    assert said.limit == "air"
    assert "top vent" in said.ask_first
    assert said.with_advice_c > said.as_it_is_c


def test_a_vent_that_is_marked_shut_needs_no_model() -> None:
    run, climb_s = _climbed("heavy_ceramic", "time")
    run.marks.append((climb_s + 1.0, "vent_top", 0.25))
    said = _judged(run, climb_s)
    assert (said.limit, said.sure, said.ask_first) == ("air", 1.0, ASK_FIRST)


@pytest.mark.prove("why not hotter")
def test_twelve_built_cases_on_unseen_cookers(proof: Proof) -> None:
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(_followed, *zip(*PLACES, strict=True)))
    right = sum(said == limit for (said, _), (_, limit) in zip(found, PLACES, strict=True))
    raised = sum(gain > 0.5 for said, gain in found)
    proof.promise("right of 12 built cases", right, at_least=11)
    proof.promise("advice that raised the stone when followed, of 12", raised, equals=12)
