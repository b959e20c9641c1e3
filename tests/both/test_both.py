"""Each script of this folder prints the same under MicroPython and CPython, line by line."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from emberdraft.virtual.interpreter import find_micropython
from tests.virtual.conftest import interpreter_or_skip

HERE = Path(__file__).parent
FIRMWARE = HERE.parents[1] / "firmware"
SCRIPTS = sorted(path for path in HERE.glob("*.py") if not path.name.startswith(("test_", "__")))


def printed(command: list[str], script: Path) -> list[str]:
    run = subprocess.run(
        [*command, str(script), str(FIRMWARE)],
        check=False,
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        cwd=FIRMWARE.parent,
    )
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    return run.stdout.splitlines()


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.stem)
def test_a_script_prints_the_same_under_both_interpreters(script):
    interpreter_or_skip()
    here = printed([sys.executable, "-B"], script)
    there = printed([find_micropython() or "", "-X", "heapsize=512k"], script)
    assert len(here) > 20
    assert there == here
