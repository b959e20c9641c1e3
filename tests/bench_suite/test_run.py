"""The command: plan, any executor, table, JSON, pictures, and when it fails."""

from __future__ import annotations

import argparse
import concurrent.futures
import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path
from typing import Any

import pytest

from emberdraft.bench import report, run
from emberdraft.bench.cookers import Cooker, load_class
from emberdraft.bench.jobs import Job, LimitJob, LimitResult, Result
from emberdraft.bench.pictures import thin
from emberdraft.errors import UserError

from .conftest import TOY


class AtOnce(concurrent.futures.Executor):
    """An executor that runs what it is given in place, and remembers how much it was given."""

    def __init__(self) -> None:
        self.count = 0

    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> concurrent.futures.Future[Any]:
        self.count += 1
        future: concurrent.futures.Future[Any] = concurrent.futures.Future()
        future.set_result(function(*args, **kwargs))
        return future


def parsed(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    run.add_arguments(parser)
    return parser.parse_args(words)


def small(*more: str) -> argparse.Namespace:
    return parsed(
        "--plant", f"{TOY}:Toy", "--scenarios", "lid60", "--controllers", "onoff,pid-simc", "--no-limit", *more
    )


def test_any_executor_can_be_handed_in_and_the_json_has_its_shape(capsys: pytest.CaptureFixture[str]) -> None:
    executor = AtOnce()
    assert run.main(small("--json"), executor) == 0
    assert executor.count == 2
    shown = capsys.readouterr()
    found = json.loads(shown.out)
    assert set(found) == {"figures", "summary", "runs", "limits"}
    assert [row["controller"] for row in found["runs"]] == ["onoff", "pid-simc"]
    assert found["summary"][0]["figures"]["lid_recovery_min"]["runs"] == 1
    assert "2 of 2 runs" in shown.err


def test_the_table_names_controllers_and_figures(capsys: pytest.CaptureFixture[str]) -> None:
    run.main(small(), AtOnce())
    table = capsys.readouterr().out
    head = table.splitlines()[0].split()
    assert head[:4] == ["cookers:", "own", "onoff", "pid-simc"]
    assert "lid 60 / 90 s: rebound, degC" in table


def test_a_picture_is_written_for_every_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run.main(small("--pictures", str(tmp_path / "pictures")), AtOnce())
    pictures = sorted((tmp_path / "pictures").glob("*.svg"))
    assert [p.name for p in pictures] == ["onoff.Toy.lid60.1.svg", "pid-simc.Toy.lid60.1.svg"]
    lines = ElementTree.parse(pictures[0]).getroot().findall("{http://www.w3.org/2000/svg}polyline")
    assert len(lines) == 5


def test_thinning_keeps_every_peak() -> None:
    column = [0.0] * 10000
    column[4321] = 7.0
    points = thin([float(i) for i in range(10000)], column)
    assert len(points) <= 700
    assert (4321.0, 7.0) in points


def test_the_sweep_is_controllers_times_cookers_times_scenarios_times_seeds() -> None:
    jobs, limits = run.plan(parsed("--scenarios", "hold,sear", "--cookers", "heavy_ceramic", "--seeds", "3"))
    assert len(jobs) == 4 * 1 * 2 * 3
    assert len(limits) == 1 * 1 * 3


def test_a_part_switched_off_is_a_controller_of_its_own() -> None:
    jobs, _ = run.plan(parsed("--scenarios", "hold", "--cookers", "heavy_ceramic", "--without", "cap"))
    assert jobs[-1].controller == "emberdraft without cap"
    assert jobs[-1].tuning == (("cap", False),)


def test_all_parts_can_be_switched_off_in_turn() -> None:
    jobs, _ = run.plan(parsed("--scenarios", "hold", "--cookers", "heavy_ceramic", "--without", "all"))
    assert {job.tuning[0][0] for job in jobs if job.tuning} == set(run.SWITCHES)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--scenarios", "hodl"), "no scenario 'hodl'"),
        (("--controllers", "magic"), "no controller 'magic'"),
        (("--cookers", "wok"), "no cooker 'wok'"),
        (("--without", "luck"), "no part 'luck'"),
        (("--seeds", "0"), "--seeds 0 is too few"),
        (("--plant", "nowhere.py:Plant"), "no plant file 'nowhere.py'"),
        (("--plant", f"{TOY}:Pot"), "no class 'Pot'"),
        (("--plant", "Toy"), "not of the form FILE.py:Class"),
    ],
)
def test_what_is_not_known_is_named(words: tuple[str, ...], said: str) -> None:
    with pytest.raises(UserError, match=said.replace("(", r"\(")):
        run.plan(parsed(*words))


def test_a_cluster_that_does_not_answer_is_one_line() -> None:
    with pytest.raises(UserError, match=r"--cluster|no scheduler"):
        run.main(small("--cluster", "tcp://127.0.0.1:9"))


COOKER = Cooker("Toy", f"{TOY}:Toy", 0, "own")


def result(iae_cs: float) -> Result:
    return Result(Job("onoff", COOKER, "hold", 1), {"iae_cs": iae_cs})


def limits() -> list[LimitResult]:
    return [LimitResult(LimitJob(COOKER, "hold", 1), {"law_cs": 1000.0, "horizon_cs": 900.0})]


def test_the_ratio_is_to_the_better_optimiser() -> None:
    assert report.add_ratios([result(1080.0)], limits())[0].figures["iae_ratio"] == pytest.approx(1.2)


def test_a_ratio_under_one_fails_the_bench(capsys: pytest.CaptureFixture[str]) -> None:
    assert run._verdict(report.add_ratios([result(901.0)], limits()), limits()) == 0
    assert run._verdict(report.add_ratios([result(899.0)], limits()), limits()) == 1
    assert "did better than the limit" in capsys.readouterr().err


def test_a_run_that_broke_fails_the_bench_and_one_that_could_not_be_does_not() -> None:
    job = Job("onoff", COOKER, "hold", 1)
    assert run._verdict([Result(job, {}, problem="ValueError: x")], []) == 1
    assert run._verdict([Result(job, {}, problem="no add_fuel", not_possible=True)], []) == 0


def test_the_worst_run_is_the_one_that_never_got_there() -> None:
    job = Job("onoff", COOKER, "hold", 1)
    rows = [Result(job, {"light_min": 99.0}), Result(job, {"light_min": None})]
    figure = next(f for f in report.FIGURES if f.key == "light_min")
    assert report.worst_run(rows, figure, "onoff") is rows[1]


def test_the_two_sets_have_names_of_their_own() -> None:
    assert {cooker.group for cooker in run.COOKERS} <= {"tuned_on", "validation"}
    for cooker in run.COOKERS:
        assert load_class(cooker.where) is not None
