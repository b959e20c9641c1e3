"""One flipped bit in any file that a board runs: it is named, and the blower stays off whatever is ordered."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from emberboard.boards import virtual as pins
from emberdraft.deploy.sums import SUMS
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import find_micropython
from tests.proof.fixture import Proof
from tests.virtual.compiled import compile_into
from tests.virtual.conftest import Cook, SmallWorld, interpreter_or_skip

PROVES = ["firmware", "host/emberdraft/virtual"]  # read by another interpreter
# Flips one bit after another in the files themselves and asks each time; prints which files it went unseen in.
FLIP = """
import sys
sys.path[:] = [""]
from emberboard import whole
assert whole.damage() == [], whole.damage()
tried, unseen = 0, []
for name, every in %s:
    with open(name, "rb") as file:
        good = bytearray(file.read())
    for bit in range(%d, 8 * len(good), every):
        good[bit // 8] ^= 1 << bit %% 8
        with open(name, "wb") as file:
            file.write(good)
        tried += 1
        if not whole.damage():
            unseen.append(name)
        good[bit // 8] ^= 1 << bit %% 8
    with open(name, "wb") as file:
        file.write(good)
assert whole.damage() == []
print([tried, unseen])
"""


@pytest.fixture
def tree(tmp_path) -> Path:
    """A compiled tree as a deploy builds it."""
    interpreter_or_skip()
    return compile_into(tmp_path / "tree")


def run(tree: Path, text: str, heap: str = "1m") -> str:
    command = [find_micropython() or "", "-X", f"heapsize={heap}", "-c", text]
    done = subprocess.run(command, cwd=tree, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def flipped(tree: Path, every: dict[str, int], begin: int = 5) -> tuple[int, list[str]]:
    """How many bits were flipped, each `every[name]`-th of a file, and in which files one went unseen."""
    tried, unseen = json.loads(run(tree, FLIP % (list(every.items()), begin)).replace("'", '"'))
    return int(tried), list(unseen)


def files_of(tree: Path) -> list[str]:
    names = [path.relative_to(tree).as_posix() for path in tree.rglob("*") if path.is_file()]
    return sorted(name for name in names if not name.endswith("list.json"))


def test_a_flipped_bit_in_any_file_or_in_the_list_itself_is_seen(tree):
    names = files_of(tree)
    assert {"boot.py", "main.py", f"emberboard/{SUMS}", "emberboard/core/guard.mpy"} < set(names)
    tried, unseen = flipped(tree, {name: max(11, 2 * (tree / name).stat().st_size) for name in names})
    assert tried > len(names)
    assert unseen == []


@pytest.mark.prove("safety: firmware", proves=PROVES)
def test_every_bit_of_some_files_and_many_of_each(tree, proof: Proof):
    names = files_of(tree)
    every = {name: max(7, (tree / name).stat().st_size // 20) for name in names}
    every |= {"emberboard/core/__init__.mpy": 1, "emberboard/keep.mpy": 17, f"emberboard/{SUMS}": 11}
    tried, unseen = flipped(tree, every, 0)
    name = f"single bits flipped in {len(names)} files that a board runs: not seen"
    proof.promise(name, len(unseen), equals=0, note=f"of {tried}")


@pytest.mark.parametrize(
    ("spoil", "named"),
    [
        (lambda tree: (tree / "emberboard/core/pid.mpy").unlink(), "core/pid"),
        (lambda tree: (tree / "main.py").write_text("# nothing\n"), "main"),
        (lambda tree: (tree / "emberboard/app.py").write_text("# run in place of app.mpy\n"), "app"),
        (lambda tree: (tree / "emberboard" / SUMS).write_text(""), SUMS),
        (lambda tree: (tree / "emberboard" / SUMS).write_text("00000000\n"), SUMS),
    ],
)
def test_what_is_missing_other_or_in_front_is_named(tree, spoil, named):
    spoil(tree)
    assert run(tree, "from emberboard import whole; print(whole.damage())") == str([named])


def test_a_tree_in_lib_is_looked_at_with_boot_and_main_in_the_root(tree):
    (tree / "lib").mkdir()
    (tree / "emberboard").rename(tree / "lib" / "emberboard")
    ask = "import sys; sys.path[:] = ['', 'lib']; from emberboard import whole; print(whole.damage())"
    assert run(tree, ask) == "[]"
    (tree / "lib/emberboard/keep.mpy").write_bytes(b"M\x06")
    (tree / "boot.py").write_text("# another\n")
    assert run(tree, ask) == "['boot', 'keep']"


def test_the_look_needs_little_memory(tree):
    """16 kB for it all, the list and the interpreter's own included: of at least 100 kB that a board has free."""
    assert run(tree, "from emberboard import whole; print(whole.damage())", heap="16k") == "[]"


def on_board(tree: Path, change) -> Cook:
    """The tree on a board whose flash it is, changed, then run and asked for heat."""
    change(tree)
    board = VirtualBoard(SmallWorld(), interpreter=interpreter_or_skip(), work_dir=tree, firmware=tree)
    rack, trains = board._machine.rack, []
    set_pwm = rack._set_pwm
    rack._set_pwm = lambda pin, *more: (trains.append(pin), set_pwm(pin, *more))
    with board:
        cook = Cook(board)
        cook.trains = trains
        cook.run(12.0)
        cook.hold()
        cook.run(8.0)
        cook.order(2, "acknowledge", id="all")
        cook.run(2.0)
        cook.hold(n=3)
        cook.run(20.0)
    return cook


def test_a_damaged_board_says_so_and_gives_no_air_whatever_is_ordered(tree):
    def damage(tree: Path) -> None:
        raw = bytearray((tree / "emberboard/drivers/tach.mpy").read_bytes())
        raw[-1] ^= 1
        (tree / "emberboard/drivers/tach.mpy").write_bytes(raw)

    cook = on_board(tree, damage)
    assert "damaged drivers/tach" in [event["text"] for event in cook.events]
    assert cook.of("alert/firmware_bad")[-1]["kind"] == "trip"
    assert {reply["code"] for reply in cook.of("reply") if reply["n"] != 2} == {"not_now"}
    assert max(row["drive"] for row in cook.readings) == 0.0
    assert pins.BLOWER not in cook.trains  # it stays boot.py's plain output: nobody made a pulse train of it


def started(tree: Path, seconds: float = 20.0) -> tuple[Cook, set[int]]:
    """A start of the tree on a board: what it published, and the seconds in which its buzzer sounded."""
    board = VirtualBoard(SmallWorld(), interpreter=interpreter_or_skip(), work_dir=tree, firmware=tree)
    heard: set[int] = set()
    with board:
        cook = Cook(board)
        cook.run(0.05)
        for tenth in range(round(seconds * 10)):
            cook.run(0.1)
            heard |= {tenth // 10} if board.pin(pins.BUZZER) else set()
        cook.light, cook.drive = board.pin(pins.LIGHT), board.drive
    return cook, heard


@pytest.mark.parametrize("text", ["# nothing\n", "import os\nimprot sys\n", "raise ValueError\n", "\x00\xff" * 40])
def test_a_board_whose_main_file_says_nothing_calls_out_by_light_and_buzzer(tree, text):
    (tree / "main.py").write_text(text)
    cook, heard = started(tree)
    assert cook.said == []  # the host sees only that no reading comes
    assert heard and max(heard) <= 3
    assert (cook.light, cook.drive) == (1, 0.0)


def test_a_whole_board_does_not_call_out(tree):
    cook, heard = started(tree)
    assert cook.of("link")[-1]["state"] == "online"
    assert (heard, cook.light) == (set(), 0)


def test_a_first_file_that_cannot_be_read_is_named_by_the_second(tree):
    (tree / "boot.py").write_text("def safe(:\n")
    cook = on_board(tree, lambda _: None)
    assert "damaged boot" in [event["text"] for event in cook.events]
    assert cook.of("alert/firmware_bad")[-1]["kind"] == "trip"
    assert max(row["drive"] for row in cook.readings) == 0.0
    assert pins.BLOWER not in cook.trains


def test_a_whole_board_gives_air_and_one_without_a_list_too_and_says_so(tree, tmp_path):
    shutil.copytree(tree, tmp_path / "bare")
    whole = on_board(tree, lambda _: None)
    assert max(row["drive"] for row in whole.readings) > 0.0
    assert pins.BLOWER in whole.trains
    assert not [event for event in whole.events if "checked" in event.get("text", "")]
    (tmp_path / "bare" / "emberboard" / SUMS).unlink()
    board = VirtualBoard(SmallWorld(), interpreter=interpreter_or_skip(), work_dir=tmp_path / "bare",
                         firmware=tmp_path / "bare")  # fmt: skip
    (tmp_path / "bare" / SUMS).unlink()  # what the virtual board brings along
    with board:
        cook = Cook(board)
        cook.run(12.0)
        cook.hold()
        cook.run(10.0)
    assert "files not checked: no list" in [event["text"] for event in cook.events]
    assert max(row["drive"] for row in cook.readings) > 0.0


def test_the_trip_stays_over_a_repair_until_a_person_acknowledges(tree):
    whole = (tree / "boot.py").read_bytes()
    on_board(tree, lambda tree: (tree / "boot.py").write_bytes(whole + b"\n"))
    assert "firmware_bad" in json.loads((tree / "kept.json").read_text())["trips"]
    board = VirtualBoard(SmallWorld(), interpreter=interpreter_or_skip(), work_dir=tree, firmware=tree)
    (tree / "boot.py").write_bytes(whole)
    with board:
        cook = Cook(board)
        cook.run(12.0)
        cook.hold()
        cook.run(5.0)
        assert cook.board.drive == 0.0
        cook.order(2, "acknowledge", id="firmware_bad")
        cook.run(2.0)
        cook.hold(n=3)
        cook.run(10.0)
        assert cook.board.drive > 0.0
