"""What all tests share."""

from __future__ import annotations

import os
import signal
from collections.abc import Generator, Sequence
from typing import Any

import pytest

from tests.proof.fixture import MissedError, Proof, proof_of, section_of
from tests.proof.plan import PLANNED, planned

RAN: pytest.StashKey[bool] = pytest.StashKey()


def pytest_configure() -> None:
    """What a shell starts in its background ignores Ctrl-C, and so would what the tests start (POSIX sh, 2.11)."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def proof(request: pytest.FixtureRequest) -> Proof:
    """Figures of a check marked prove: proof.promise(name, value, at_most=...) or proof.record(name, value)."""
    return proof_of(request.node, os.environ.get("EMBERDRAFT_PROOF"))


@pytest.hookimpl(wrapper=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> Generator[None, Any, Any]:
    """Promises are judged after the last of them is written: a first miss hides no second."""
    result = yield
    if isinstance(own := pyfuncitem.funcargs.get("proof"), Proof):
        own.close()
    return result


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Generator[None, Any, Any]:
    """A check marked prove that ran to its end, and was cleared away after, says so; a miss is an end as well."""
    report = yield
    if call.when == "call":
        item.stash[RAN] = report.passed or (call.excinfo is not None and call.excinfo.errisinstance(MissedError))
    elif call.when == "teardown" and report.passed and item.stash.get(RAN, False) and section_of(item):
        proof_of(item, os.environ.get("EMBERDRAFT_PROOF")).passed(item.nodeid)
    return report


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: Sequence[pytest.Item]) -> None:
    """Before any is set aside: which sections there are, by the checks that are marked."""
    config.stash[PLANNED] = planned(items)
