"""The faults put in by hand are all still there to be put in, and nearly all of them are noticed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.mutants import faults
from tests.proof.closure import ROOT
from tests.proof.fixture import Proof

EVERY = faults.faults()
LEAST = 49
FILES = sorted({fault["file"] for fault in EVERY} | {test.partition("::")[0] for f in EVERY for test in f["tests"]})


@pytest.mark.parametrize("fault", EVERY, ids=lambda fault: fault["id"])
def test_its_place_is_found_and_the_test_that_notices_it(fault: dict[str, Any]) -> None:
    assert fault["old"] != fault["new"]
    assert faults.spoilt(fault, ROOT)
    for test in fault["tests"]:
        file, _, name = test.partition("::")
        assert f"def {name}(" in (ROOT / file).read_text(encoding="utf-8")


def test_none_was_dropped() -> None:
    assert len(EVERY) == len({fault["id"] for fault in EVERY}) >= 51


def test_one_fault_is_noticed_and_a_tree_without_it_is_whole() -> None:
    (salt,) = (fault for fault in EVERY if fault["id"] == "fo4")
    nothing = {**salt, "new": salt["old"], "folders": []}
    assert [bool(by) for _, by in faults.judge([salt, nothing], 1)] == [True, False]


@pytest.mark.prove("faults by hand", proves=FILES)
def test_nearly_every_fault_is_noticed(proof: Proof) -> None:
    """By the test that is known to, first; then by the quick tests of its folders."""
    lived = [name for name, by in faults.judge(EVERY) if not by]
    died = len(EVERY) - len(lived)
    proof.promise(f"noticed, of {len(EVERY)}", died, at_least=LEAST, note=f"lived: {', '.join(lived) or 'none'}")
