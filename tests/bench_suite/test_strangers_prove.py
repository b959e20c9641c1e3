"""Control on the cookers that once were strangers: every figure over all of them, judged by the bench's own bounds."""

from __future__ import annotations

import pytest

from emberdraft.bench import report
from emberdraft.bench.figures import BY_KEY
from emberdraft.bench.jobs import OURS
from tests.bench_suite.looks import standing
from tests.bench_suite.promised import put_down
from tests.proof.fixture import Proof

from .strangers import tables
from .strangers.__main__ import errands, parse, sweep
from .strangers.yard import KINDS


@pytest.mark.prove("once strangers")
def test_every_figure_on_strangers(proof: Proof, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EMBERDRAFT_CACHE")
    kinds = [kind for kind in KINDS if standing(kind) == "training"]  # a proof is no reason to look at any other
    results = sweep(errands(parse(["--seeds", "3", "--cookers", ",".join(kinds)])), 2)
    for (controller, _), found in report.summaries(results).items():
        for key, summary in found.items():
            figure = BY_KEY[key]
            put_down(proof, f"{controller}: {figure.title}", figure, summary, controller == OURS)
    names = [alarm["name"] for alarm in tables.false_alarms(results)]
    proof.promise("false alarms", len(names), equals=0, note=", ".join(sorted(set(names))))
    lost = [label for label in tables.fires_lost(results) if label.startswith(f"{OURS}.")]
    proof.promise(f"{OURS}: runs that lost the fire", len(lost), equals=0, note=", ".join(lost))
    assert report.problems(results, []) == []
