"""A proof older than the code it proves is no proof, a bound that is missed is said, and both lists are signed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.proof.bounds import bound
from tests.proof.closure import ROOT, closure, digest
from tests.proof.fixture import MissedError, Proof
from tests.proof.page import page_text
from tests.proof.plan import PLANNED
from tests.proof.record import MISSES, PAGE, README, RECORD, STALE, counts, is_current, load, missed
from tests.proof.run import failures, known, written

SECTIONS: dict[str, Any] = load(RECORD)
SIGNED_STALE = {row["section"]: row for row in load(STALE)}
SIGN = "renew it by `python -m tests.prove`, or sign for it: `python -m tests.prove --stale WHY WORD`"


@pytest.mark.parametrize("name", sorted(SECTIONS))
def test_a_section_is_of_this_code_or_listed_as_old(name: str) -> None:
    assert name in SIGNED_STALE or is_current(SECTIONS[name]), f"code behind {name!r} changed: {SIGN}"


def test_a_check_that_no_section_records_is_listed(request: pytest.FixtureRequest) -> None:
    """Of the checks collected beside this one: all of them when all tests run."""
    for name, found in request.config.stash[PLANNED].items():
        old = SECTIONS.get(name, {"tests": [], "proves": []})
        whole = {*found["tests"], *found["proves"]} <= {*old["tests"], *old["proves"]}
        assert whole or name in SIGNED_STALE, f"{name!r} has checks that were never run at full size: {SIGN}"


@pytest.mark.parametrize("name", sorted(SIGNED_STALE))
def test_what_is_listed_as_old_is_old_and_says_why(name: str) -> None:
    row = SIGNED_STALE[name]
    assert len(row["why"]) > 20 and row["since"]
    assert name not in SECTIONS or not is_current(SECTIONS[name]), "it is current again: take it off by --page"


def test_every_current_section_names_a_commit_that_is_there() -> None:
    if not (ROOT / ".git").exists():
        pytest.skip("no git repository here: nothing to look a commit up in")
    current = set(SECTIONS) - set(SIGNED_STALE)
    assert [name for name in current if not known(SECTIONS[name]["commit"])] == []
    assert not known("0" * 10)


def test_every_miss_is_signed_and_every_signature_is_for_a_miss() -> None:
    misses, found = load(MISSES), missed(SECTIONS)
    assert [miss for miss in found if miss.signed(misses) is None] == []
    assert len(misses) == len(found), "a promise that is kept again, or asked no more, needs no signature"
    assert all(len(row["why"]) > 20 and row["since"] for row in misses)


def test_page_and_readme_say_what_the_record_says() -> None:
    misses, stale = load(MISSES), load(STALE)
    assert PAGE.read_text(encoding="utf-8") == page_text(SECTIONS, misses, stale)
    assert counts(SECTIONS, stale) in README.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The code alone, to be spoilt."""
    root = tmp_path_factory.mktemp("copy")
    leave = shutil.ignore_patterns("typings", "__pycache__", "*.pyc", ".*cache")
    for folder in ("host", "firmware", "tests"):
        shutil.copytree(ROOT / folder, root / folder, ignore=leave)
    return root


EDITS = [
    ("tests/safety/test_boundaries.py", "def test_nothing() -> None:\n    pass\n", "safety: branches"),
    ("tests/safety/test_boundaries.py", "def test_nothing() -> None:\n    pass\n", "safety: mutation of core/guard.py"),
    ("host/emberdraft/web/static/js/strip.js", "export const nothing = 0;\n", "page"),
    ("host/emberdraft/plant/heavy_ceramic.py", "", "safety: rehearsals"),
    ("host/emberdraft/plant/heavy_ceramic.py", "", "safety: false alarms"),
    ("host/emberdraft/food/brine_plan.py", "", "brine"),
    ("firmware/emberboard/core/pid.py", "", "bench"),
    ("tests/conftest.py", "", "trials"),
]


@pytest.mark.parametrize(("edited", "text", "section"), EDITS)
def test_an_edit_of_what_a_section_stands_on_is_seen(copy: Path, edited: str, text: str, section: str) -> None:
    starts = SECTIONS[section]["tests"] + SECTIONS[section]["proves"]
    file, before = copy / edited, digest(starts, copy)
    was = file.read_text(encoding="utf-8")
    file.write_text(text, encoding="utf-8")
    changed = digest(starts, copy)
    file.write_text(was, encoding="utf-8")
    assert changed != before
    assert digest(starts, copy) == before


def test_an_edit_elsewhere_leaves_a_section_alone() -> None:
    reached = {str(path.relative_to(ROOT)) for path in closure(SECTIONS["trials"]["tests"])}
    assert "host/emberdraft/trials/compare.py" in reached
    assert not [path for path in reached if path.startswith(("firmware", "host/emberdraft/web"))]


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A tree with one of each kind of reach."""
    files = {
        "tests/test_a.py": "from .making import f\nSAID = 'cooks.toml'\n",
        "tests/making.py": "def f():\n    import emberdraft.far.away\n",
        "tests/cooks.toml": "",
        "tests/conftest.py": "RUN = ['-m', 'emberdraft.told']\n",
        "host/emberdraft/__init__.py": "",
        "host/emberdraft/told.py": "",
        "host/emberdraft/far/__init__.py": "from emberdraft import beside\n",
        "host/emberdraft/far/away.py": "",
        "host/emberdraft/beside.py": "",
        "host/emberdraft/unread.py": "",
        "page/index.html": '<script type="module" src="cook.js"></script>\n',
        "page/cook.js": 'import { a } from "./strip.js";\nconst b = await import("./late.js");\n',
        "page/strip.js": "",
        "page/late.js": "",
        "page/other.js": "",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    return tmp_path


@pytest.mark.parametrize(("start", "unread"), [("tests/test_a.py", "unread.py"), ("page/index.html", "other.js")])
def test_what_is_reached_is_all_but_what_nothing_names(small: Path, start: str, unread: str) -> None:
    folders = ("page",) if start.startswith("page") else ("tests", "host")
    there = {path for folder in folders for path in (small / folder).rglob("*.*") if path.name != unread}
    assert set(closure([start], small)) == there


@pytest.mark.parametrize(
    ("held_to", "kept", "over"),
    [
        ({"at_most": 3}, 3, 3.01),
        ({"at_least": 0.95}, 0.95, 0.94),
        ({"at_least": 0.7, "at_most": 0.92}, 0.92, 0.93),
        ({"at_least": 0.7, "at_most": 0.92}, 0.7, 0.69),
        ({"equals": 0}, 0, 1),
        ({"equals": "ok"}, "ok", "malformed"),
        ({"at_most": 3}, 0, None),
        ({"at_least": 3}, 4, float("nan")),
    ],
)
def test_a_promise_is_kept_on_its_bound_and_missed_beyond_it(held_to: dict[str, Any], kept: Any, over: Any) -> None:
    proof = Proof("s", None, [])
    proof.promise("one", kept, **held_to)
    proof.close()
    proof.promise("two", over, **held_to)
    proof.record("three", over)
    with pytest.raises(MissedError, match=r"two: .*, promised"):
        proof.close()


@pytest.mark.parametrize("nothing", [{}, {"equals": 1, "at_most": 2}])
def test_a_bound_that_cannot_be_missed_is_refused(nothing: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="at_least"):
        bound(**nothing)


@pytest.mark.parametrize(
    ("measured", "at_most", "figure", "holds"),
    [(4.0, 3, "n", True), (3.9, 3, "n", True), (4.5, 3, "n", False), (4.0, 2, "n", False), (4.0, 3, "other", False)],
)
def test_a_signature_is_for_one_figure_one_bound_and_nothing_worse(
    measured: float, at_most: float, figure: str, holds: bool
) -> None:
    signed = {"section": "s", "figure": "n", "bound": "at most 3", "measured": 4.0, "why": "w", "since": "d"}
    proof = Proof("s", None, [signed])
    proof.promise(figure, measured, at_most=at_most)
    assert (proof.unsigned == []) is holds


def test_what_is_printed_is_what_is_asserted(tmp_path: Path) -> None:
    proof = Proof("s", tmp_path, [])
    proof.promise("share", 0.655, at_least=0.7, note="of 25", tries=(0.6, 0.655))
    figures = written("s", [], 1, rows_of(tmp_path))["figures"]
    section = {"tests": ["t.py"], "proves": [], "date": "2026-01-02", "commit": "abc", "passed": 1, "failed": []}
    page = page_text({"s": {**section, "figures": figures}}, [], [])
    assert "| share | 0.655 (of 25; tries: 0.6, 0.655) | at least 0.7 | **missed** |" in page
    assert "| s | share | at least 0.7 | 0.655 | **not signed** |  |" in page


def rows_of(folder: Path) -> list[dict[str, Any]]:
    return [json.loads(path.read_text(encoding="utf-8")) for path in folder.iterdir()]


def test_a_check_that_breaks_down_is_written_as_failed(tmp_path: Path) -> None:
    proof = Proof("s", tmp_path, [])
    proof.promise("n", 3, at_most=4)
    proof.passed("one")
    section = written("s", ["one", "two"], 1, rows_of(tmp_path))
    assert (section["passed"], section["failed"], list(section["figures"])) == (1, ["two"], ["n"])
    assert written("s", ["one"], 3, rows_of(tmp_path))["failed"] == ["pytest ended with 3"]
    assert written("s", ["one"], 1, rows_of(tmp_path))["failed"] == [], "a miss is an end: every figure is there"


def test_what_failed_before_on_the_same_code_is_kept() -> None:
    old = {"digest": "d", "failed": ["two"], "failed_before": ["2026-01-01: one"], "date": "2026-01-02"}
    assert failures(old, "d") == ["2026-01-01: one", "2026-01-02: two"]
    assert failures(old, "e") == failures(None, "d") == []


INNER = """
import pytest

@pytest.mark.prove("s")
def test_kept(proof):
    proof.promise("kept", 1, at_most=2)

@pytest.mark.prove("s")
def test_missed(proof):
    proof.promise("over", 3, at_most=2)
    proof.promise("after it", 1, at_most=2)

@pytest.mark.prove("s")
def test_breaks(proof):
    proof.record("before", 1)
    raise RuntimeError("no")
"""


@pytest.fixture
def inner(tmp_path: Path) -> Iterator[tuple[Path, subprocess.CompletedProcess[str]]]:
    """A run of pytest with three checks, as `make prove` does it: one kept, one missed, one that breaks down."""
    (tmp_path / "conftest.py").write_text("from tests.conftest import *\n")
    (tmp_path / "test_inner.py").write_text(INNER)
    (tmp_path / "out").mkdir()
    words = ["-q", "-p", "no:cacheprovider", "-c", str(ROOT / "pyproject.toml"), "--rootdir", str(ROOT), str(tmp_path)]
    env = {**os.environ, "EMBERDRAFT_PROOF": str(tmp_path / "out"), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "pytest", *words]
    yield tmp_path / "out", subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, check=False)


def test_a_miss_turns_the_run_red_and_hides_no_later_figure(inner: Any) -> None:
    out, ended = inner
    rows = rows_of(out)
    assert ended.returncode == 1 and "over: 3, promised at most 2" in ended.stdout
    assert {row["name"] for row in rows if row["kind"] == "figure"} == {"kept", "over", "after it", "before"}
    checks = {row["check"].rpartition("::")[2] for row in rows if row["kind"] == "passed"}
    assert checks == {"test_kept", "test_missed"}
