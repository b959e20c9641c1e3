"""The limit: both optimisers beat ordinary control on the toy, know no order beforehand, and are kept on disk."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.bench import limit_horizon, limit_law
from emberdraft.bench.cache import cached, limit_key
from emberdraft.bench.cookers import Cooker
from emberdraft.bench.jobs import Job, LimitJob, run_job, run_limit
from emberdraft.bench.rig import Rig
from emberdraft.bench.scenarios import Scenario, Step

SHORT = Scenario("short", "short", 2400.0, (Step(0.0, "order", ("slow", 121.0)),), "hold")


def test_the_two_optimisers_agree_on_the_toy(toy: Cooker) -> None:
    """Different methods, same cooker: within a tenth of each other."""
    rig = Rig(toy.build(1), SHORT, 1)
    law_cs, horizon_cs = limit_law.best_iae_cs(rig), limit_horizon.best_iae_cs(rig)
    assert law_cs == pytest.approx(horizon_cs, rel=0.1)


def test_no_baseline_beats_the_law_on_the_toy(toy: Cooker) -> None:
    rig = Rig(toy.build(1), Scenario("hold", "", 3 * 3600.0, SHORT.steps, "hold"), 1)
    limit_cs = limit_law.best_iae_cs(rig)
    for name in ("onoff", "pid-simc"):
        assert run_job(Job(name, toy, "hold", 1)).figures["iae_cs"] > limit_cs


def test_a_course_gives_its_parts_one_after_the_other() -> None:
    course = (2.0, 60.0, 0.0, 120.0, 0.5)
    levels = [limit_horizon.level_at(course, after_s, 0.0, 0.0) for after_s in (0.0, 60.0, 120.0)]
    assert levels == [2.0, 0.0, 0.5]
    assert limit_horizon.level_at(course, 120.0, limit_horizon.LEAN_C, 0.0) == 1.5


def test_a_kept_value_is_not_found_again(own_cache: Path) -> None:
    assert cached("limit-x", lambda: {"law_cs": 5.0}) == {"law_cs": 5.0}
    assert cached("limit-x", lambda: {"law_cs": 6.0}) == {"law_cs": 5.0}


def test_a_damaged_file_is_found_anew(own_cache: Path) -> None:
    cached("limit-x", lambda: {"law_cs": 5.0})
    (own_cache / "bench" / "limit-x.json").write_text("{", encoding="utf-8")
    assert cached("limit-x", lambda: {"law_cs": 6.0}) == {"law_cs": 6.0}


def test_the_key_changes_with_seed_scenario_and_source(toy: Cooker, tmp_path: Path) -> None:
    changed = tmp_path / "toy.py"
    changed.write_text(Path(toy.where.rpartition(":")[0]).read_text(encoding="utf-8") + "\n", encoding="utf-8")
    other = Cooker("Toy", f"{changed}:Toy", 0, "own")
    keys = {
        limit_key(toy, "hold", 1),
        limit_key(toy, "hold", 2),
        limit_key(toy, "steps", 1),
        limit_key(other, "hold", 1),
    }
    assert len(keys) == 4


def test_a_plant_that_breaks_is_reported(tmp_path: Path) -> None:
    broken = tmp_path / "broken.py"
    broken.write_text("class Broken:\n    def __init__(self, seed=0): raise RuntimeError('no')\n", encoding="utf-8")
    result = run_limit(LimitJob(Cooker("Broken", f"{broken}:Broken", 0, "own"), "hold", 1))
    assert "no" in result.problem
