"""Control on cookers that nothing is tuned on: every figure over all strangers, written into the proof as it is."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from emberdraft.bench import report
from emberdraft.bench.figures import BY_KEY
from emberdraft.bench.jobs import OURS

from .strangers import tables
from .strangers.__main__ import errands, parse, sweep
from .test_figures_prove import _value, _wanted

COVERS = ["firmware/emberboard/core", "tests/bench_suite/strangers"]


@pytest.mark.prove
def test_every_figure_on_strangers(
    proof: Callable[[str, str, object, str, list[str]], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("EMBERDRAFT_CACHE")
    results = sweep(errands(parse(["--seeds", "3"])), 2)
    for (controller, _), found in report.summaries(results).items():
        for key, summary in found.items():
            figure = BY_KEY[key]
            name = f"{controller}: {figure.title}"
            proof("strangers", name, _value(summary), _wanted(figure, controller), COVERS)
    alarms = tables.false_alarms(results)
    proof("strangers", "false alarms by name", ", ".join(sorted({a["name"] for a in alarms})) or "none", "none", COVERS)
    lost = [label for label in tables.fires_lost(results) if label.startswith(f"{OURS}.")]
    proof("strangers", f"{OURS}: runs that lost the fire", str(len(lost)), "0", COVERS)
    assert report.problems(results, []) == []
