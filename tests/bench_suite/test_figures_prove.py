"""The whole bench once: every figure of control, both sets of cookers, baselines beside, judged by its own bounds."""

from __future__ import annotations

import argparse
import concurrent.futures

import pytest

from emberdraft.bench import report, run
from emberdraft.bench.figures import BY_KEY, FIGURES, Figure, Summary
from emberdraft.bench.jobs import OURS
from tests.bench_suite.promised import put_down
from tests.proof.fixture import MissedError, Proof

BASELINES = "onoff,pid-zn,pid-simc"
COMPARED = "hold,steps,lid90,sear,gusts"


@pytest.mark.prove("bench")
def test_every_figure_of_control(proof: Proof, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EMBERDRAFT_CACHE")
    ours, ours_limits = run.plan(_parsed("--controllers", OURS))
    others, _ = run.plan(_parsed("--controllers", BASELINES, "--scenarios", COMPARED, "--no-limit"))
    with concurrent.futures.ProcessPoolExecutor(2) as executor:
        results, limits = run.sweep(executor, [*ours, *others], ours_limits)
    for (controller, group), found in report.summaries(results).items():
        for key, summary in found.items():
            figure = BY_KEY[key]
            put_down(proof, f"{controller} on {group}: {figure.title}", figure, summary, controller == OURS)
    assert report.problems(results, limits) == []
    assert report.under_the_limit(results) == []


def test_the_proof_would_record_every_judged_figure_once() -> None:
    assert len({figure.title for figure in FIGURES}) == len(FIGURES)


@pytest.mark.parametrize("summary", [Summary(1.0, 1.7, 9, 0), Summary(0.5, 1.0, 9, 1), Summary(1.1, 1.2, 9, 0)])
def test_a_row_over_its_bound_fails(summary: Summary) -> None:
    """The bounds of the hold: mean 1.0, worst 1.6. Over one of them, over the other, and never in one run."""
    proof = Proof("", None, [])
    put_down(proof, "hold", BY_KEY["hold_rms_c"], summary, True)
    with pytest.raises(MissedError):
        proof.close()


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.key)
def test_every_bounded_row_is_a_promise_and_every_other_a_record(figure: Figure) -> None:
    proof = Proof("", None, [])
    put_down(proof, figure.title, figure, Summary(None, None, 3, 3), True)
    assert len(proof.unsigned) == (figure.pass_mean is not None) + (figure.pass_worst is not None)


def _parsed(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    run.add_arguments(parser)
    return parser.parse_args(words)
