"""A relay test made by the board's own controller on a cooker, found in the record and read off."""

from __future__ import annotations

import copy
from pathlib import Path

import numpy as np
import pytest

from emberdraft.store.store import Store
from emberdraft.tuning.fopdt import fit_fopdt
from emberdraft.tuning.relay_record import relay_tests
from tests.core.cooker import Cooker, Run
from tests.store.making import START_S, reading

AFTER_S = 5400
BUMP = 0.05
WATCHED_S = 1200
CALM_S = 1500  # until the hold is calm enough for another test


def _bump(cooker: Cooker, duty: float) -> float:
    """degC a second per whole blower, read off the cooker itself: one of two moves by BUMP, the rest is alike."""
    moved, still = copy.deepcopy(cooker), copy.deepcopy(cooker)
    apart = []
    for _ in range(WATCHED_S):
        moved.step(duty + BUMP, 1.0)
        still.step(duty, 1.0)
        apart.append(moved.pit_c - still.pit_c)
    t_s = np.arange(WATCHED_S + 1, dtype=float)
    u = np.concatenate(([0.0], np.full(WATCHED_S, BUMP)))
    found = fit_fopdt(t_s, u, np.concatenate(([0.0], apart)))
    return found.gain / found.tau_s


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, float]:
    """A record with a test that was ended early and a whole one, and the cooker's own answer before them."""
    run, rows = Run().hold().seconds(AFTER_S), []
    truth = _bump(run.cooker, run.out.duty)
    path = tmp_path_factory.mktemp("relay") / "cooks.sqlite"

    def second() -> None:
        pit_c = round(run.cooker.pit_c * 4.0) / 4.0
        run.seconds(1)
        rows.append(reading(len(rows), pit_c=pit_c, duty=run.out.duty, why=run.out.why, mode="hold"))

    run.order("relay")
    for _ in range(400):
        second()
    run.order("relay", on=False)
    for _ in range(CALM_S):
        second()
    run.order("relay")
    while run.controller.relay.left_s > 0.0:
        second()
    for _ in range(60):
        second()
    with Store(path) as store:
        cook_id = store.begin_cook("garden", "relay", None, START_S)
        store.add_records("garden", "b1", rows)
        store.end_cook(cook_id, START_S + len(rows), "done")
    return path, truth


def test_the_cookers_answer_is_found_in_the_record_with_the_describing_functions_bias(made: tuple[Path, float]) -> None:
    path, truth_cps = made
    with Store(path) as store:
        short, whole = relay_tests(store, 1)
    assert "too few" in short["trouble"]
    assert short["duration_s"] < 405
    assert whole["trouble"] == ""
    assert whole["swings"] >= 6
    assert whole["gain_c"] / whole["tau_s"] == pytest.approx(truth_cps, rel=0.3)
    # Astrom and Hagglund 1984: the describing function takes the wave for a sine and finds too small a gain.
    assert -0.6 < whole["bias"] < 0.0
    assert whole["described_gain"] == pytest.approx(whole["ultimate_gain"] * (1.0 + whole["bias"]))


def test_a_cook_without_a_test_has_none(tmp_path: Path) -> None:
    with Store(tmp_path / "none.sqlite") as store:
        cook_id = store.begin_cook("garden", "plain", None, START_S)
        store.add_records("garden", "b1", [reading(k) for k in range(60)])
        assert relay_tests(store, cook_id) == []
