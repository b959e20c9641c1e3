"""Power that fails at any step of the switch or of the way back: one whole tree stays in reach."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from emberdraft.deploy.build import LIST, build
from emberdraft.deploy.remote import ON_BOARD
from emberdraft.virtual.interpreter import find_micropython
from tests.deploy.stand_in import firmware
from tests.virtual.conftest import interpreter_or_skip

# Stands before the script: the file system's calls are counted, and at the last one allowed the power is gone.
CUT = """
import sys
import os as real

class Os:
    left = %d
    def step(self, name, *args):
        if self.left == 0:
            sys.exit(7)
        self.left -= 1
        return getattr(real, name)(*args)
    def rename(self, *args): return self.step("rename", *args)
    def remove(self, *args): return self.step("remove", *args)
    def rmdir(self, *args): return self.step("rmdir", *args)
    def mkdir(self, *args): return self.step("mkdir", *args)
    stat = staticmethod(real.stat)
    ilistdir = staticmethod(real.ilistdir)

sys.modules["os"] = Os()
"""
WHICH = """
import sys
sys.path[:] = ["", "lib"]
import emberboard, emberboard.more0, emberboard.more5
print(emberboard.__version__)
"""


def run(flash, text):
    interpreter_or_skip()
    command = [find_micropython() or "", "-c", text]
    return subprocess.run(command, cwd=flash, check=False, capture_output=True, text=True)


def put(tree, flash, folder):
    shutil.copytree(tree.folder, flash / folder, dirs_exist_ok=True)


@pytest.fixture
def trees(tmp_path):
    made = {}
    for version in ("none", "one", "two"):
        source = firmware(tmp_path / version / "source", version, extra=6)
        made[version] = build(tmp_path / version / "built", "rp2", "max31856", compiled=True, source=source)
    return made


@pytest.fixture
def flash(trees, tmp_path):
    """A board with `one` in use, `none` kept in lib/, and `two` staged whole."""
    made = tmp_path / "flash"
    put(trees["one"], made, ".")
    (made / "lib").mkdir()
    shutil.copytree(trees["none"].folder / "emberboard", made / "lib" / "emberboard")
    for name in ("boot.py", "main.py"):
        shutil.copy(trees["none"].folder / name, made / "lib" / f"{name}.old")
    put(trees["two"], made, "next")
    (made / "next" / LIST).rename(made / "next" / "list.json")
    return made


def cuts(flash, script, tmp_path):
    """The file system after a power cut at each step, until a run comes to its end."""
    for step in range(200):
        board = tmp_path / f"cut{step}"
        shutil.copytree(flash, board)
        done = run(board, CUT % step + (ON_BOARD / script).read_text())
        yield board
        if done.returncode == 0:
            return
        assert done.returncode == 7, done.stderr
        assert step < 199


def test_at_every_step_of_the_switch_a_whole_tree_is_found_and_the_next_try_mends_it(flash, trees, tmp_path):
    seen = []
    for board in cuts(flash, "switch.upy", tmp_path):
        seen.append(run(board, WHICH).stdout.strip())
        if (board / "next").exists() and seen[-1] == "one":
            put(trees["two"], board, "next")  # what `deploy` does first
            (board / "next" / LIST).rename(board / "next" / "list.json")
            assert json.loads(run(board, (ON_BOARD / "switch.upy").read_text()).stdout.splitlines()[-1]) == []
            assert run(board, WHICH).stdout.strip() == "two"
    assert set(seen) == {"one", "two"}
    assert seen == sorted(seen)  # the old one up to a step, the new one from there
    assert len(seen) > 15


def test_at_every_step_of_the_way_back_a_whole_tree_is_found(flash, tmp_path):
    seen = [run(board, WHICH).stdout.strip() for board in cuts(flash, "back.upy", tmp_path)]
    assert set(seen) == {"none", "one"}
    assert seen[-1] == "none"
