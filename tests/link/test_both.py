"""The conversation of a board is the same under MicroPython, the interpreter it is made for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from emberdraft.virtual.interpreter import find_micropython

SCRIPT = Path(__file__).with_name("both_session.py")
FIRMWARE = Path(__file__).parents[2] / "firmware"


def printed(*command: str) -> list[str]:
    run = subprocess.run(
        [*command, str(SCRIPT), str(FIRMWARE)], check=False, capture_output=True, encoding="utf-8", timeout=600
    )
    assert run.returncode == 0, run.stdout[-2000:] + run.stderr[-2000:]
    return run.stdout.splitlines()


@pytest.mark.skipif(find_micropython() is None, reason="there is no MicroPython for this computer")
def test_a_conversation_is_the_same_under_both_interpreters() -> None:
    there = printed(str(find_micropython()), "-X", "heapsize=384k")
    assert printed(sys.executable, "-B") == there
    assert len(there) > 150
