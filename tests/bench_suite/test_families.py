"""Counting: a figure passes on a cooker when mean and worst of its seeds do; what no run has is not judged."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from emberdraft.bench.jobs import Job
from tests.bench_suite.families import jobs, kept, passed, summary, sweep, table


def row(seed: int, false: tuple[str, ...] = (), **figures: float | None) -> dict[str, Any]:
    alarms = [[60.0, name] for name in false]
    return {"cooker": "pot", "scenario": "hold", "seed": seed, "figures": figures, "false": alarms, "problem": ""}


def test_mean_and_worst_must_both_pass() -> None:
    """Bounds of the hold's RMS: 1.0 in the mean, 1.6 at worst; of the overshoot: 3.5 at worst."""
    good = [row(1, hold_rms_c=0.4, overshoot_c=3.0), row(2, hold_rms_c=1.5, overshoot_c=1.0)]
    assert passed(good) == (2, 2)
    assert passed([*good, row(3, hold_rms_c=1.7, overshoot_c=3.6)]) == (0, 2)


def test_never_is_a_miss_and_absent_is_not_judged() -> None:
    assert passed([row(1, light_min=None)]) == (0, 1)
    assert passed([row(1, charcoal_kgph=0.2)]) == (0, 0)


def test_runs_with_a_false_alarm_and_lost_fires_are_counted_as_runs() -> None:
    found = summary([row(1, ("fuel_out", "fuel_out"), fire_lost=1.0), row(2, fire_lost=0.0)])
    assert (found["false"], found["lost"], found["runs"]) == (1, 1, 2)


def test_a_run_is_kept_and_not_run_again(tmp_path: Path) -> None:
    work: list[Job] = jobs(("hearths",), "shipped", 1, ("lid60",))[:1]
    path = tmp_path / "rows.jsonl"
    sweep(work, path, 1)
    assert [found["cooker"] for found in kept(path)] == ["hearth_medium"]
    sweep(work, path, 1)
    assert len(kept(path)) == 1
    assert "hearths" in table(kept(path))
