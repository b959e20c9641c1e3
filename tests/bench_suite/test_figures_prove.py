"""The whole bench once: every figure of control, both sets of cookers, baselines beside, written into the proof."""

from __future__ import annotations

import argparse
import concurrent.futures
from collections.abc import Callable

import pytest

from emberdraft.bench import report, run
from emberdraft.bench.figures import BY_KEY, FIGURES, Figure, Summary
from emberdraft.bench.jobs import OURS

COVERS = ["firmware/emberboard/core", "host/emberdraft/plant", "host/emberdraft/bench"]
BASELINES = "onoff,pid-zn,pid-simc"
COMPARED = "hold,steps,lid90,sear,gusts"


@pytest.mark.prove
def test_every_figure_of_control(
    proof: Callable[[str, str, object, str, list[str]], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("EMBERDRAFT_CACHE")
    ours, ours_limits = run.plan(_parsed("--controllers", OURS))
    others, _ = run.plan(_parsed("--controllers", BASELINES, "--scenarios", COMPARED, "--no-limit"))
    with concurrent.futures.ProcessPoolExecutor(2) as executor:
        results, limits = run.sweep(executor, [*ours, *others], ours_limits)
    for (controller, group), found in report.summaries(results).items():
        for key, summary in found.items():
            figure = BY_KEY[key]
            name = f"{controller} on {group}: {figure.title}"
            proof("bench", name, _value(summary), _wanted(figure, controller), COVERS)
    assert report.problems(results, limits) == []
    assert report.under_the_limit(results) == []


def test_the_proof_would_record_every_judged_figure_once() -> None:
    assert len({figure.title for figure in FIGURES}) == len(FIGURES)


def _parsed(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    run.add_arguments(parser)
    return parser.parse_args(words)


def _value(summary: Summary) -> str:
    if summary.mean is None or summary.worst is None:
        return f"never in {summary.runs} runs"
    never = f", never in {summary.never} of {summary.runs}" if summary.never else ""
    return f"mean {report.number(summary.mean)}, worst {report.number(summary.worst)}{never}"


def _wanted(figure: Figure, controller: str) -> str:
    if controller != OURS or (figure.pass_mean is None and figure.pass_worst is None):
        return "reported"
    bounds = (("mean", figure.pass_mean), ("worst", figure.pass_worst))
    word = "at least" if figure.at_least else "at most"
    return f"{word} " + ", ".join(f"{what} {report.number(bound)}" for what, bound in bounds if bound is not None)
