"""Three starts that failed, and the tree before is in use by itself: on the real interpreter, power cuts included."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from emberdraft.deploy.build import LIST, build
from emberdraft.deploy.look import Facts, judge
from emberdraft.deploy.remote import ON_BOARD, STILL_IN
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import FIRMWARE
from tests.deploy.test_power_cut import CUT, run
from tests.virtual.conftest import Cook, SmallWorld, interpreter_or_skip

# What a start does before main.py loads anything: boot.py with a pin that needs no hardware, then main.py's count.
START = """
import sys
sys.path[:] = ["", "lib"]
class Machine: pass
sys.modules["machine"] = Machine
"""
COUNT = """
source = open("main.py").read()
exec(source[source.index("TRIAL ="):source.index("def prepare")] + "count_start()", {"os": __import__("os")})
"""
BROKEN = {
    "a word that is none": ("app.py", "class App:\n", "class App(:\n"),
    "an exception in the first step": (
        "app.py",
        "        self.proof.begin()\n",
        "        raise ValueError('broken')\n",
    ),
    "an endless loop in a step": ("app.py", "        self.proof.begin()\n", "        while True: pass\n"),
    "the safe pin cannot be loaded": ("boards/safe.py", "import machine\n", "import machin\n"),
    "what is kept cannot be loaded": ("keep.py", "import json\n", "import jason\n"),
}


def changed(folder: Path, version: str, file: str = "", old: str = "", new: str = "") -> Path:
    """The firmware with another version, and one line of one file spoilt."""
    ignored = shutil.ignore_patterns("typings", "__pycache__")
    shutil.copytree(FIRMWARE, folder, ignore=ignored)
    (folder / "emberboard" / "__init__.py").write_text(f'__version__ = "{version}"\n')
    for name in ("boot.py", "main.py"):
        (folder / name).write_text((FIRMWARE / name).read_text() + f"# {version}\n")
    if file:
        text = (folder / "emberboard" / file).read_text()
        assert text.count(old) == 1
        (folder / "emberboard" / file).write_text(text.replace(old, new))
    return folder


def stage(board: Path, source: Path, work: Path) -> None:
    """What `deploy` does up to the switch; compiled where a spoilt line does not keep it from that."""
    tree = build(work, "linux", "max31856", compiled=False, source=source)
    shutil.copytree(tree.folder, board / "next")
    (board / "next" / LIST).rename(board / "next" / "list.json")


def switch(board: Path) -> None:
    done = run(board, (ON_BOARD / "switch.upy").read_text())
    assert done.stdout.strip() == "[]", done.stderr


@pytest.fixture
def deployed(tmp_path):
    """`deployed(*spoilt)`: a board with `one`, which has had its minute, and with `two` on trial, spoilt that way."""

    def make(*spoilt: str) -> Path:
        board = tmp_path / "board"
        board.mkdir()
        stage(board, changed(tmp_path / "one", "one"), tmp_path / "built one")
        switch(board)
        (board / "emberboard" / "trial").unlink()
        stage(board, changed(tmp_path / "two", "two", *spoilt), tmp_path / "built two")
        switch(board)
        return board

    return make


def in_use(board: Path) -> tuple[str, str, str]:
    """Version of the package that Python finds, and of boot.py and main.py."""
    found = run(board, 'import sys; sys.path[:] = ["", "lib"]; import emberboard; print(emberboard.__version__)')
    ends = [(board / name).read_text().rpartition("# ")[2].strip() for name in ("boot.py", "main.py")]
    return (found.stdout.strip(), *ends)


def start(board: Path, left: int | None = None) -> int:
    """One start up to where main.py loads the package; with power for `left` changes of the file system."""
    cut = CUT % left if left is not None else ""
    return run(board, cut + START + (board / "boot.py").read_text() + COUNT).returncode


def test_a_tree_that_never_ran_for_a_minute_gives_way_at_the_fourth_start(deployed):
    board = deployed()
    seen = []
    for _ in range(6):
        assert start(board) == 0
        seen.append(in_use(board))
    assert seen == [("two",) * 3] * 3 + [("one",) * 3] * 3
    assert (board / "failed" / "trial").stat().st_size == 3


def test_without_a_tree_before_it_the_new_one_goes_on_trying(deployed):
    board = deployed()
    shutil.rmtree(board / "lib")
    for _ in range(6):
        assert start(board) == 0
    assert in_use(board) == ("two",) * 3
    assert (board / "emberboard" / "trial").stat().st_size == 3  # no more: a flash is not worn by failing


def test_power_cut_at_every_step_of_giving_way_comes_to_the_same_end(deployed, tmp_path):
    board = deployed()
    for _ in range(3):
        start(board)
    codes = []
    for step in range(20):
        cut = tmp_path / f"cut{step}"
        shutil.copytree(board, cut)
        codes.append(start(cut, step))
        assert in_use(cut)[0] == ("two" if step == 0 else "one")
        assert start(cut) == 0
        assert in_use(cut) == ("one",) * 3
        if codes[-1] == 0:
            break
    assert codes == [7, 7, 7, 0]


def test_power_cut_at_every_step_of_a_switch_ends_with_one_version_throughout(deployed, tmp_path):
    """boot.py brings what the switch of a deploy has left undone to its end: package, boot.py and main.py agree."""
    board = deployed()
    (board / "emberboard" / "trial").unlink()
    for folder in ("core", "drivers", "link"):
        shutil.rmtree(board / "lib" / "emberboard" / folder)  # each of its files is a step, and they are all alike
    stage(board, changed(tmp_path / "three", "three"), tmp_path / "built three")
    ends = []
    for step in range(400):
        cut = tmp_path / f"cut{step}"
        shutil.copytree(board, cut)
        done = run(cut, CUT % step + (ON_BOARD / "switch.upy").read_text())
        assert start(cut) == 0
        ends.append(in_use(cut))
        shutil.rmtree(cut)
        if done.returncode == 0:
            break
    assert set(ends) == {("two",) * 3, ("three",) * 3}
    assert ends == sorted(ends, reverse=True)
    assert len(ends) > 20


def test_a_second_new_tree_replaces_the_one_on_trial_and_not_the_one_that_is_known_to_run(deployed, tmp_path):
    board = deployed()
    stage(board, changed(tmp_path / "three", "three"), tmp_path / "built three")
    switch(board)
    assert in_use(board) == ("three",) * 3
    for _ in range(4):
        start(board)
    assert in_use(board) == ("one",) * 3


def test_after_the_way_back_a_deploy_begins_anew(deployed, tmp_path):
    board = deployed()
    for _ in range(4):
        start(board)
    stage(board, changed(tmp_path / "three", "three"), tmp_path / "built three")
    switch(board)
    assert not (board / "failed").exists()
    assert start(board) == 0
    assert in_use(board) == ("three",) * 3
    for _ in range(3):
        start(board)
    assert in_use(board) == ("one",) * 3


def run_whole(board: Path, seconds: float) -> Cook:
    """The board as it is, on the simulated hardware: its own flash is its firmware."""
    virtual = VirtualBoard(SmallWorld(), interpreter=interpreter_or_skip(), work_dir=board, firmware=board)
    with virtual:
        cook = Cook(virtual)
        cook.run(seconds)
        cook.hold()
        cook.run(5.0)
    return cook


def test_a_good_tree_has_passed_its_trial_after_a_minute(deployed):
    board = deployed()
    cook = run_whole(board, 58.0)
    assert (board / "emberboard" / "trial").stat().st_size == 1
    cook = run_whole(board, 75.0)
    assert not (board / "emberboard" / "trial").exists()
    assert cook.board.boots == 1
    assert in_use(board) == ("two",) * 3


@pytest.mark.parametrize("way", BROKEN)
def test_a_tree_broken_in_any_way_gives_way_by_itself_and_the_air_waits_for_a_person(deployed, way, monkeypatch):
    monkeypatch.setattr("emberdraft.virtual.interpreter.SPIN_CPU_S", 0.4)
    board = deployed(*BROKEN[way])
    cook = run_whole(board, 50.0)
    assert in_use(board) == ("one",) * 3
    assert cook.of("info")[-1]["firmware"] == "one"
    assert "back to earlier firmware" in [event["text"] for event in cook.events if event["kind"] == "boot"]
    if way != "what is kept cannot be loaded":  # then nothing is known of the failed starts
        assert "boot_failed" in [each["id"] for each in cook.of("alert/boot_failed") if each]
        assert max(row["drive"] for row in cook.readings) == 0.0


def test_a_board_that_has_gone_back_says_so_and_has_nothing_to_restore(deployed):
    board = deployed()
    assert run(board, (ON_BOARD / "back.upy").read_text()).stdout.strip() == "true"
    assert run(board, (ON_BOARD / "back.upy").read_text()).stdout.strip() == "true"
    for _ in range(4):
        start(board)
    assert in_use(board) == ("one",) * 3
    assert run(board, (ON_BOARD / "back.upy").read_text()).stdout.strip() == "false"
    assert in_use(board) == ("one",) * 3
    said = json.loads(run(board, (ON_BOARD / "look.upy").read_text().replace('os.statvfs("/")', "(1, 1, 1, 9)")).stdout)
    assert (said["failed"], said["old"]) == (True, False)
    assert said["files"] > 50
    found = {row.what: row for row in judge(Facts(**{**said, "micropython": (1, 29), "mpy": (6, 3)}), 0)}
    assert (found["firmware"].state, "failed three starts" in found["firmware"].saw) == ("look", True)


def test_a_person_at_the_cable_begins_the_count_anew(deployed):
    board = deployed()
    for _ in range(3):
        start(board)
    done = run(board, "ember_in = 1\n" + STILL_IN)
    assert done.returncode == 0, done.stderr
    for _ in range(3):
        start(board)
    assert in_use(board) == ("two",) * 3
    (board / "emberboard" / "trial").unlink()
    assert run(board, "ember_in = 1\n" + STILL_IN).returncode == 0
    assert not (board / "emberboard" / "trial").exists()
