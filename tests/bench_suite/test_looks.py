"""A cooker that was looked at is strange no more: the ledger says who, and a look cannot be taken without it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.bench_suite import looks
from tests.bench_suite.strangers.__main__ import main
from tests.bench_suite.strangers.yard import KINDS
from tests.proof.closure import ROOT
from tests.proof.run import known

BENCH = ROOT / "docs" / "explain" / "bench.md"


@pytest.fixture
def ledger(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty one, on a tree that is clean at a known commit."""
    path = tmp_path / "ledger.json"
    path.write_text("[]")
    monkeypatch.setattr(looks, "LEDGER", path)
    monkeypatch.setattr(looks, "refuse_dirty", lambda: None)
    monkeypatch.setattr(looks, "commit", lambda: "abc1234")
    return path


def test_every_look_has_a_date_a_commit_and_a_reason() -> None:
    every = json.loads(looks.LEDGER.read_text(encoding="utf-8"))
    assert every
    for look in every:
        assert set(look) == {"kind", "date", "commit", "reason"}
        assert len(look["date"]) == 10 and len(look["reason"].split()) >= 3
    if (ROOT / ".git").exists():
        assert [look for look in every if not known(look["commit"])] == []


@pytest.mark.parametrize("kind", KINDS)
def test_the_eight_that_were_strangers_are_training(kind: str) -> None:
    assert looks.standing(kind) == "training"


def test_the_page_claims_no_stranger_that_the_ledger_denies() -> None:
    strange = [kind for kind in KINDS if looks.standing(kind) != "training"]
    assert ("There is no stranger at this time." in BENCH.read_text(encoding="utf-8")) is (strange == [])
    for page in (BENCH, ROOT / "DEVELOPERS.md", *Path(looks.__file__).parent.glob("strangers/*.py")):
        assert "ever tuned on" not in page.read_text(encoding="utf-8"), page


def test_the_first_look_is_the_verdict_and_the_second_makes_it_training(ledger: Path) -> None:
    assert looks.standing("clay_pot") == "stranger"
    looks.look_at(["clay_pot"], "the law of December is judged")
    assert looks.standing("clay_pot") == "judged"
    looks.look_at(["clay_pot", "tin_pail"], "why it swings there")
    assert (looks.standing("clay_pot"), looks.standing("tin_pail")) == ("training", "judged")
    looks.look_at(["clay_pot"], "")
    assert [look["reason"] for look in looks.looks("clay_pot")] == [
        "the law of December is judged",
        "why it swings there",
    ]
    assert {look["commit"] for look in json.loads(ledger.read_text())} == {"abc1234"}


def test_nobody_looks_at_a_stranger_without_a_reason(ledger: Path) -> None:
    with pytest.raises(SystemExit, match="clay_pot: not looked at yet or once"):
        main(["--cookers", "clay_pot", "--scenarios", "hold", "--seeds", "1", "--no-baselines"])
    assert json.loads(ledger.read_text()) == []
