"""The bench's table as promises: each bound of `emberdraft.bench.figures` judges the number it stands beside."""

from __future__ import annotations

from emberdraft.bench import report
from emberdraft.bench.figures import Figure, Summary
from tests.proof.fixture import Proof


def put_down(proof: Proof, name: str, figure: Figure, summary: Summary, judged: bool) -> None:
    """Mean and worst of one figure. What never came in some run is "never", and kept by no bound."""
    for what, value, bound in (
        ("mean", summary.mean, figure.pass_mean),
        ("worst", summary.worst, figure.pass_worst),
    ):
        number = None if value is None else float(report.number(value))
        if judged and bound is not None:
            side = {"at_least": bound} if figure.at_least else {"at_most": bound}
            proof.promise(f"{name}: {what}", None if summary.never else number, **side, note=_never(summary, number))
        else:
            proof.record(f"{name}: {what}", number, note=_never(summary, number))


def _never(summary: Summary, number: float | None) -> str:
    return f"never in {summary.never} of {summary.runs} runs, of the others {number}" if summary.never else ""
