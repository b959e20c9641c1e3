"""The real mpremote puts the firmware onto the real interpreter, through a serial port that is a pseudo-terminal."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from emberdraft.virtual.interpreter import find_micropython
from tests.virtual import package_json
from tests.virtual.conftest import interpreter_or_skip
from tests.virtual.pty_bridge import PtyBridge

FIRMWARE = package_json.FIRMWARE


@pytest.fixture
def mpremote(tmp_path):
    """`mpremote(*arguments)` runs it on a board without files; gives what it printed."""
    interpreter_or_skip()
    bridge = PtyBridge([find_micropython() or "", "-X", "heapsize=1m"], str(tmp_path))

    def run(*arguments: str) -> str:
        command = [sys.executable, "-m", "mpremote", "connect", bridge.port, "resume", *arguments]
        done = subprocess.run(command, check=False, capture_output=True, encoding="utf-8", timeout=600)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    yield run
    bridge.close()


def test_package_json_lists_every_file():
    """If this fails: python -m tests.virtual.package_json."""
    assert (FIRMWARE / "package.json").read_text() == package_json.text()


def test_mpremote_installs_the_firmware_whole_and_it_can_be_used_there(mpremote, tmp_path, tmp_path_factory):
    source = tmp_path_factory.mktemp("source") / "firmware"
    shutil.copytree(FIRMWARE, source, ignore=shutil.ignore_patterns("typings", "__pycache__"))
    (source / "package.json").write_text(package_json.text(source))
    mpremote("mip", "install", "--target", ".", str(source / "package.json"))
    names = package_json.modules(source)
    assert sorted(names) == sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.py"))
    for name in names:
        assert (tmp_path / name).read_bytes() == (source / name).read_bytes()
    used = mpremote(
        "exec",
        "import sys; sys.path.insert(0, '.'); from emberboard.core.controller import Controller, Inputs;"
        "print(Controller().tick(0, Inputs()).why)",
    )
    assert used.strip() == "off"


def test_settings_go_onto_the_board_with_cp(mpremote, tmp_path):
    source = Path(FIRMWARE / "settings.example.json")
    mpremote("cp", str(source), ":settings.json")
    assert (tmp_path / "settings.json").read_bytes() == source.read_bytes()
