"""A step of a cook is said once: no second list of them stands anywhere, and a new one is added in few files."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from emberboard.core.words import PHASES as BOARD_PHASES
from emberdraft.daemon.steps import STEPS, expected_s
from emberdraft.phases import PHASES
from tests.daemon.cook import plan_of

ROOT = Path(__file__).parents[2]
HOST = ROOT / "host" / "emberdraft"
MOST_FILES = 6  # the bound that the project has set itself for a step of a plan
LISTS = {
    "daemon/steps.py": "the one list of steps",
    "phases.py": "the one list of phases",
    "bench/board_controller.py": "the order for the board in each of its own phases, without a plan",
    "evening/habits.py": "how four spans of an evening vary: figures from records, not steps that are gone through",
}


def _name_lists(source: str) -> Iterator[tuple[int, set[str]]]:
    """Line and names of each written-out collection that holds three names of steps or more."""
    for node in ast.walk(ast.parse(source)):
        parts = node.keys if isinstance(node, ast.Dict) else getattr(node, "elts", [])
        names = {part.value for part in parts if isinstance(part, ast.Constant)} & set(STEPS)
        if len(names) >= 3:
            yield node.lineno, names


def test_no_second_list_of_steps_stands_anywhere() -> None:
    found = {
        str(path.relative_to(HOST)): (line, names)
        for path in HOST.rglob("*.py")
        for line, names in _name_lists(path.read_text(encoding="utf-8"))
    }
    assert {name: where for name, where in found.items() if name not in LISTS} == {}


def test_a_second_list_would_be_seen() -> None:
    assert [*_name_lists('HELD = ("light", "soak", "slow")\nOF = {"rest": 1, "climb": 2, "sear": 3}')] == [
        (1, {"light", "soak", "slow"}),
        (2, {"rest", "climb", "sear"}),
    ]


def test_the_phases_are_those_of_the_board_and_each_has_a_step_that_speaks_for_it() -> None:
    assert ("", *PHASES) == BOARD_PHASES
    assert [name for name, step in STEPS.items() if name == step.phase] == [*PHASES]
    assert all(STEPS[name].coming for name in PHASES)
    assert [name for name in PHASES if STEPS[name].stretch is None] == ["bank"]


def test_a_phase_is_reckoned_as_long_as_its_steps() -> None:
    """By hand, of the plan two_chops: 6 min to set in and 10 min to settle are common practice, no source."""
    plan = plan_of()
    assert plan.soak is not None and plan.slow is not None and plan.sear is not None
    assert expected_s(plan, "soak") == plan.soak.least_s + 360.0
    assert expected_s(plan, "slow") == plan.slow.expect_s + 600.0
    assert expected_s(plan, "sear") == 2 * (2 * 75.0 + 60.0)  # the chops one after the other, both sides
    assert expected_s(plan_of(name="hold"), "soak") == plan_of(name="hold").soak.least_s


# A step `breathe`: the opened vent draws for a while before the climb is offered. File -> what becomes what.
LONGEST = '    longest_s: Seconds = field(name="longest", default=Seconds(2700.0))\n'
ROW = "| `longest` | time | 45 min | 1 min to 3 h; the board stops there by itself, with or without the host |\n"
ASK_CLIMB = '        Step("ask_climb", '
STEP = """        Step(
            "breathe",
            "slow",
            watch.breathe,
            ("breathed", "skip"),
            in_plan=lambda plan: plan.climb is not None and plan.climb.breathe_s > 0.0,
            expected_s=lambda plan: plan.climb.breathe_s,
            stone="asked",
        ),
"""
WATCHER = '''def breathe(stage: Stage, view: View) -> None:
    """The opened vent draws before the climb is offered."""
    climb = stage.plan.climb
    if climb is not None and stage.now_s - stage.run.since_s >= climb.breathe_s:
        stage.go("breathed")


'''
EDGES = "breathe: breathed -> ask_climb, skip -> ask_climb, put_out -> bank, banked -> bank"
ADDED = {
    "host/emberdraft/daemon/steps.py": [(ASK_CLIMB, STEP + ASK_CLIMB)],
    "host/emberdraft/daemon/watch.py": [("def ask_climb(", WATCHER + "def ask_climb(")],
    "host/emberdraft/daemon/plan_form.py": [
        (LONGEST, LONGEST + '    breathe_s: Seconds = field(name="breathe", default=Seconds(0.0))\n')
    ],
    "docs/reference/plan.md": [
        ("vent_open -> ask_climb", "vent_open -> breathe"),
        ("ask_climb: yes", f"{EDGES}\nask_climb: yes"),
        (ROW, ROW + "| `breathe` | time | 0 s | how long the opened vent draws before the climb is offered |\n"),
    ],
}
WALK = """
from emberdraft.daemon import plan_form
from emberdraft.daemon.steps import expected_s
from tests.daemon.cook import Cook, plan_of
assert plan_form.__file__.startswith({here!r}), plan_form.__file__
plan = plan_of(("[climb]", '[climb]\\nbreathe = "2 min"'))
assert expected_s(plan, "slow") == expected_s(plan_of(), "slow") + 120.0
cook = Cook(plan).to("breathe")
cook.tick(119)
assert cook.conductor.step == "breathe"
cook.tick(2)
assert cook.conductor.step == "ask_climb"
assert cook.to("done").conductor.phase == "bank"
assert Cook(plan_of()).to("ask_climb").conductor.run.before == "ask_vent"
"""
PAGE_TEST = "tests/daemon/test_plan_page.py"


@pytest.fixture
def scratch(tmp_path: Path) -> Path:
    """A copy of the host, of the plan's page and of the test that holds the page to the code, with the step added."""
    shutil.copytree(HOST, tmp_path / "host" / "emberdraft", ignore=shutil.ignore_patterns("static", "__pycache__"))
    for name in ("docs/reference/plan.md", PAGE_TEST):
        (tmp_path / name).parent.mkdir(parents=True)
        shutil.copy(ROOT / name, tmp_path / name)
    for name, changes in ADDED.items():
        text = (tmp_path / name).read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, f"{name}: {old!r}"
            text = text.replace(old, new)
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize("what", ["walk", "page"])
def test_a_step_with_a_key_of_its_own_is_added_in_few_files(scratch: Path, what: str) -> None:
    """It is gone through where the plan has it, passed over where not, reckoned, and stands on the plan's page."""
    assert len(ADDED) <= MOST_FILES
    page = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-c", os.devnull, str(scratch / PAGE_TEST)]
    words = page if what == "page" else ["-c", WALK.format(here=str(scratch))]
    paths = [str(scratch / "host"), str(ROOT), str(ROOT / "firmware")]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(paths)}
    run = subprocess.run([sys.executable, *words], cwd=scratch, env=env, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
