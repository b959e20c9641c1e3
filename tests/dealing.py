"""A plugin of pytest for `make test`: the longest files are dealt first, so that none is left over at the end.

How long each took stands in tests/times.json (seconds, the start of what it shares included); a run writes what it saw
to build/times.json, to be copied there when files have grown.
"""

from __future__ import annotations

import gc
import json
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
TIMES = ROOT / "tests" / "times.json"
SEEN = ROOT / "build" / "times.json"
UNKNOWN_S = 3.0

_took_s: dict[str, float] = {}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The files in the order of their length, the tests of each as they stand in it."""
    known: dict[str, float] = json.loads(TIMES.read_text(encoding="utf-8"))
    items.sort(key=lambda item: (-known.get(_file(item.nodeid), UNKNOWN_S), _file(item.nodeid)))


def pytest_collection_finish() -> None:
    """What was collected stays to the end: the collector of garbage need not look through it again and again."""
    gc.collect()
    gc.freeze()


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """In the process that deals, which hears of every test."""
    _took_s[_file(report.nodeid)] = _took_s.get(_file(report.nodeid), 0.0) + report.duration


def pytest_sessionfinish(session: Any) -> None:
    """Write what was seen, once."""
    if not hasattr(session.config, "workerinput"):
        SEEN.parent.mkdir(exist_ok=True)
        rounded = {name: round(took_s, 1) for name, took_s in sorted(_took_s.items())}
        SEEN.write_text(json.dumps(rounded, indent=1) + "\n", encoding="utf-8")


def _file(nodeid: str) -> str:
    return nodeid.partition("::")[0]
