"""The search: its objective orders what is better before what is worse, its compiled law is the board's."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from emberdraft.bench.law import foretell, onelaw
from tests.bench_suite.search import __main__ as search
from tests.bench_suite.search.__main__ import constants
from tests.bench_suite.search.objective import LOST, cost, of_all
from tests.bench_suite.search.quick import END_S, LAW_S, Course, target_at

ROOT = Path(__file__).parents[2]


def course(over_c: float, lost: bool = False) -> Course:
    """A pit that is there after 20 min and then off by `over_c`; `lost`: cold for the last half hour."""
    t_s = np.arange(LAW_S, END_S + LAW_S, LAW_S)
    target_c = np.array([target_at(each - LAW_S) for each in t_s])
    pit_c = np.where(t_s < 1200.0, 20.0, target_c + over_c)
    if lost:
        pit_c = np.where(t_s > END_S - 1800.0, 30.0, pit_c)
    return Course(t_s, pit_c, target_c, 0.0 * t_s)


def test_better_costs_less() -> None:
    costs = [cost(course(over_c)) for over_c in (0.0, 1.0, 2.9, 5.0, 9.0)]
    assert costs == sorted(costs)
    assert cost(course(0.0, lost=True)) > cost(course(0.0)) + LOST


def test_the_worst_quarter_counts_extra() -> None:
    assert of_all([1.0, 1.0, 1.0, 5.0]) > of_all([2.0, 2.0, 2.0, 2.0])


def test_a_candidate_is_the_first_constants_times_a_power() -> None:
    assert constants([0.0] * foretell.CONSTANTS) == pytest.approx(list(onelaw.C))
    assert len(onelaw.C) == foretell.CONSTANTS


def test_it_goes_on_where_it_was_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a bowl whose lowest place is known, (1, 1, ...): three calls of the command come nearer than one."""
    pytest.importorskip("cma")
    monkeypatch.setattr(search, "value", lambda x, work: float(sum((each - 1.0) ** 2 for each in x)))
    generations, far = [], []
    for _ in range(3):
        assert search.main(["--keep", str(tmp_path / "kept"), "--minutes", "0.03"]) == 0
        state = pickle.loads((tmp_path / "kept").read_bytes())
        generations.append(state.countiter)
        far.append(float(np.linalg.norm(state.mean - 1.0)))
    assert generations[0] < generations[1] < generations[2]
    assert far[2] < far[0]


def test_compiled_the_law_asks_for_the_same_air() -> None:
    """The same cook with the arithmetic compiled and with the lists of a board: the air differs by rounding alone."""
    pytest.importorskip("numba")
    program = (
        "from emberdraft.bench.law import onelaw; from tests.bench_suite.search import quick;"
        "from tests.bench_suite.hearths import HEARTHS; plain = quick.cook(onelaw.OneLaw(), HEARTHS[0], 1, 3600.0);"
        "fast = quick.cook(quick.law_of(onelaw.C), HEARTHS[0], 1, 3600.0); print(abs(plain.air - fast.air).max())"
    )
    env = {**os.environ, "PYTHONPATH": f"{ROOT}/host:{ROOT}/firmware:{ROOT}"}
    ran = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=env, capture_output=True, text=True, check=True)
    assert float(ran.stdout) < 1e-6
