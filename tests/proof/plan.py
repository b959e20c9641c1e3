"""Which sections there are, and where each begins: read off the marks of the checks that pytest finds."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.proof.closure import ROOT
from tests.proof.fixture import section_of

Plan = dict[str, dict[str, list[str]]]
PLANNED: pytest.StashKey[Plan] = pytest.StashKey()


def planned(items: Sequence[pytest.Item]) -> Plan:
    """Each section's checks, the files they stand in, and what these name beside their imports."""
    plan: Plan = {}
    for item in items:
        marked = section_of(item)
        if marked:
            section = plan.setdefault(marked[0], {"checks": [], "tests": [], "proves": []})
            section["checks"].append(item.nodeid)
            section["tests"] = sorted({*section["tests"], os.path.relpath(item.path, ROOT)})
            section["proves"] = sorted({*section["proves"], *marked[1]})
    return plan


def pytest_collection_finish(session: pytest.Session) -> None:
    """As a plugin (`-p tests.proof.plan`): write the plan where the run asks for it."""
    Path(os.environ["EMBERDRAFT_PLAN"]).write_text(json.dumps(session.config.stash[PLANNED]), encoding="utf-8")
