"""The tests of the safety code are tested: what they leave unrun, and what they would let through."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.proof.fixture import Proof
from tests.safety import mutate
from tests.safety.survivors import SURVIVORS

ROOT = Path(__file__).parents[2]
LEAST = 0.95
TWICE = "tests/safety/test_twice.py"
BRANCH_TESTS = [
    mutate.BOUNDS,
    mutate.GUARD,
    mutate.LAST_WORD,
    "tests/safety/test_application.py",
    "tests/safety/test_alert_states.py",
    "tests/drivers/test_permit.py",
    TWICE,
    mutate.READING,
]
BRANCHES = [*BRANCH_TESTS, *(f"firmware/emberboard/{file}" for file in mutate.TARGETS)]


def branches(tests: list[str], files: list[str], folder: Path) -> dict[str, float]:
    """Percent of lines and branches of each file that the tests run, by the package `coverage`."""
    include = ",".join(f"*/emberboard/{file}" for file in files)
    env = {**os.environ, "COVERAGE_FILE": str(folder / "data"), "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    run = [sys.executable, "-m", "coverage", "run", "--branch", f"--include={include}"]
    pytest_run = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-m", "not prove", *tests]
    subprocess.run([*run, *pytest_run], cwd=ROOT, env=env, check=True, stdout=subprocess.DEVNULL)
    report = folder / "report.json"
    subprocess.run([sys.executable, "-m", "coverage", "json", "-q", "-o", str(report)], cwd=ROOT, env=env, check=True)
    told = json.loads(report.read_text())["files"]
    return {Path(path).name: row["summary"]["percent_covered"] for path, row in told.items()}


def test_every_branch_of_the_interlocks_is_run(tmp_path: Path):
    assert branches(mutate.TABLE, ["core/interlocks.py"], tmp_path) == {"interlocks.py": 100.0}


@pytest.mark.prove("safety: branches", proves=BRANCHES)
def test_every_branch_of_all_safety_code(tmp_path: Path, proof: Proof):
    percent = branches(BRANCH_TESTS, list(mutate.TARGETS), tmp_path)
    for name, value in percent.items():
        proof.promise(f"lines and branches run, %: {name}", round(value, 2), at_least=100.0)
    assert len(percent) == len(mutate.TARGETS)


def test_a_change_makes_another_module_and_leaves_the_file_alone():
    before = (mutate.BOARD / "core/noise.py").read_text()
    every = list(mutate.mutants("core/noise.py", range(len(mutate.keys("core/noise.py")))))
    assert len({mutant.source for mutant in every} | {before}) == len(every) + 1 > 20
    assert len(mutate.keys("core/interlocks.py")) > 100
    assert (mutate.BOARD / "core/noise.py").read_text() == before


def test_a_spoilt_interlock_is_noticed_and_a_whole_one_is_not():
    whole = mutate.Mutant("core/interlocks.py", "", (mutate.BOARD / "core/interlocks.py").read_text())
    assert not mutate.noticed(whole, mutate.TABLE)
    spoilt = whole._replace(source=whole.source.replace("OVER_SAMPLES = 2", "OVER_SAMPLES = 3"))
    assert mutate.noticed(spoilt, mutate.TABLE)


def test_every_survivor_has_its_reason_and_is_still_there():
    keys = {key for file in mutate.TARGETS for key in mutate.keys(file)}
    assert all(len(reason) > 20 for reason in SURVIVORS.values())
    assert set(SURVIVORS) <= keys


@pytest.mark.parametrize("file", mutate.TARGETS)
def test_few_changes_may_survive(file: str):
    listed = [key for key in SURVIVORS if key.startswith(file + ": ")]
    assert len(listed) <= (1.0 - LEAST) * len(mutate.keys(file))


def section(file: str) -> pytest.MarkDecorator:
    """A section a file, so that one can be proved anew by itself: `python -m tests.prove interlocks`."""
    tests = {test.partition("::")[0] for stage in mutate.TARGETS[file] for test in stage}
    return pytest.mark.prove(f"safety: mutation of {file}", proves=[f"firmware/emberboard/{file}", *sorted(tests)])


PIECES = [
    pytest.param(file, piece, marks=section(file), id=f"{file}-({piece.start}, {piece.stop})")
    for file in mutate.TARGETS
    for piece in mutate.pieces(file)
]


@pytest.mark.parametrize(("file", "piece"), PIECES)
def test_nearly_every_change_is_noticed(file: str, piece: range, proof: Proof):
    left = mutate.survivors(file, piece)
    name = f"changes {piece.start + 1} to {piece.stop} that no test notices and no listed reason explains"
    unexplained = sorted(set(left) - set(SURVIVORS))
    beside = f"{len(piece) - len(left)} of {len(piece)} noticed; {unexplained or 'none'}"
    proof.promise(name, len(unexplained), equals=0, note=beside)
