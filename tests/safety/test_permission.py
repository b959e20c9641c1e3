"""However the firmware stops, the blower's pin is dead within three seconds: permission first, watchdog behind it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.virtual import interpreter
from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.interpreter import FIRMWARE
from tests.proof.fixture import Proof
from tests.virtual.conftest import Cook, SmallWorld, interpreter_or_skip

WITHIN_S = 3.0
PROVES = ["firmware", "host/emberdraft/virtual"]  # read by another interpreter
STEP = "        self.proof.begin()\n"
TALK = "            now_ms = self.uptime.ms()\n            self.parts.signal.step(now_ms)\n"
FLAG = 15  # a pin of the simulated board that nothing else uses: it goes up as the firmware stops
RAISE_FLAG = f"import machine; machine.Pin({FLAG}, machine.Pin.OUT, value=1); machine.Pin(14, machine.Pin.IN).value()"

# What is put into app.py, where, for the board to stop by itself after a while: (the line it follows, the sabotage).
WAYS = {
    "endless loop in control": (STEP, "while True: pass"),
    "exception in control": (STEP, "raise ValueError('a demonstration')"),
    "control waits for ever": (STEP, "await asyncio.sleep_ms(100000000)"),
    "control ends its own task": (STEP, "raise SystemExit"),
    "sensors are skipped": (STEP, "return"),
    "endless loop in the link": (TALK, "while True: pass"),
    "exception in the link": (TALK, "raise OSError(5)"),
    "the link's task ends": (TALK, "return"),
    "memory is full": (STEP, "raise MemoryError"),
    "a socket that blocks": (TALK, "import time; time.sleep(3600)"),
    # The step goes on to its end, second by second, but one of the four parts of its work is not done.
    "the outputs are not written": (STEP, "self._put_out = lambda _outputs: None"),
    "the interlocks are not asked": (STEP, "self.controller.guard.tick = lambda *_: None"),
}


UNPROVED = ("the outputs are not written", "the interlocks are not asked")
PATIENT = "WATCHDOG_MS = 8000"  # ms; about the longest that an RP2040 can (its data sheet: 8.3 s)


def sabotaged(folder: Path, way: str, after_s: int) -> Path:
    """A copy of the firmware that does `way` once, `after_s` seconds after a start by power."""
    target = folder / "firmware"
    shutil.copytree(FIRMWARE, target, ignore=shutil.ignore_patterns("typings", "__pycache__"))
    path = target / "emberboard" / "app.py"
    where, deed = WAYS[way]
    text = path.read_text()
    assert text.count(where) == 1
    indent = where[: len(where) - len(where.lstrip())]
    path.write_text(
        text.replace(
            where,
            f"{where}{indent}if self.uptime.ms() > {after_s * 1000}:\n{indent}    {RAISE_FLAG}\n{indent}    {deed}\n",
        )
    )
    return target


@pytest.fixture(autouse=True)
def quick_to_see_a_hang(monkeypatch: pytest.MonkeyPatch) -> None:
    """A loop that spins is seen after 0.4 s of processor time instead of 2."""
    monkeypatch.setattr(interpreter, "SPIN_CPU_S", 0.4)


@pytest.fixture
def board_of(tmp_path: Path) -> Iterator[Callable[..., Cook]]:
    """`board_of(way, after_s, watchdog)`: a running board that will stop that way."""
    boards: list[VirtualBoard] = []

    def begin(way: str, after_s: int, watchdog: str = "") -> Cook:
        folder = tmp_path / str(len(boards))
        firmware = sabotaged(folder, way, after_s)
        if watchdog:
            main = firmware / "main.py"
            main.write_text(re.sub(r"^WATCHDOG_MS = \d+$", watchdog, main.read_text(), count=1, flags=re.MULTILINE))
            assert watchdog in main.read_text()
        board = VirtualBoard(
            SmallWorld(), interpreter=interpreter_or_skip(), work_dir=folder / "flash", firmware=firmware
        )
        boards.append(board)
        board.start()
        return Cook(board)

    yield begin
    for board in boards:
        board.stop()


class Spy:
    """Watches the bench itself: when the flag goes up, and when the blower's pin goes dead after that."""

    def __init__(self, rack: Any) -> None:
        self.rack = rack
        self.stopped_us: int | None = None
        self.off_us: int | None = None
        self.drive = 0.0
        self._set_pin, self._frame, self._release = rack._set_pin, rack.frame, rack.release
        rack._set_pin, rack.frame, rack.release = self.set_pin, self.frame, self.release

    def set_pin(self, pin: int, level: int) -> None:
        self._set_pin(pin, level)
        if pin == FLAG and self.stopped_us is None:
            self.stopped_us, self.drive = self.rack.now_us, self.rack.drive

    def frame(self, data: bytes) -> bytes:
        try:
            return bytes(self._frame(data))
        finally:
            self.look()

    def release(self) -> None:
        self._release()
        self.look()

    def look(self) -> None:
        if self.stopped_us is not None and self.off_us is None and self.rack.drive == 0.0:
            self.off_us = self.rack.now_us


def off_after_s(cook: Cook) -> float:
    """Seconds from when the firmware stops to when the blower's pin is dead; it stays dead."""
    spy = Spy(cook.board._machine.rack)
    cook.run(12.0)
    cook.hold(200.0)
    cook.run(20.0)
    assert spy.stopped_us is not None
    assert spy.drive > 0.5
    assert spy.off_us is not None
    assert cook.board.drive == 0.0
    return (spy.off_us - spy.stopped_us) / 1e6


@pytest.mark.parametrize("way", ["endless loop in control", "control waits for ever", "sensors are skipped"])
def test_the_blower_is_off_within_three_seconds(board_of, way: str):
    assert off_after_s(board_of(way, 14)) <= WITHIN_S


@pytest.mark.parametrize("way", UNPROVED)
def test_a_step_whose_work_is_not_whole_gives_no_permission_whatever_the_watchdog_does(board_of, way: str):
    """Steps come to their end, second by second, and one part of them is left out. The watchdog is made too patient
    to be the one that stops the blower."""
    assert off_after_s(board_of(way, 14, PATIENT)) <= WITHIN_S


@pytest.mark.prove("safety: permission", proves=PROVES)
def test_twenty_of_twenty(board_of, proof: Proof):
    times = {(way, t): off_after_s(board_of(way, t)) for way in WAYS for t in (14, 21)}
    assert len(times) == 2 * len(WAYS)
    name = f"blower off after the end of the control task, the slowest of {len(times)} in {len(WAYS)} ways, s"
    proof.promise(name, max(times.values()), at_most=WITHIN_S, note=str(max(times, key=lambda way: times[way])))


def test_nothing_feeds_the_watchdog_but_a_whole_step():
    """One place in the firmware feeds it, behind the proof of work; no timer does."""
    text = {path: path.read_text() for path in FIRMWARE.rglob("*.py") if "typings" not in path.parts}
    fed = [(path.name, line.strip()) for path, body in text.items() for line in body.splitlines() if "feed(" in line]
    calls = [(name, line) for name, line in fed if not line.startswith("def ") and "decoder" not in line.lower()]
    assert [row for row in calls if "self.feed()" in row[1]] == [("permit.py", "self.feed()")]
    assert not [row for row in calls if "wdt" in row[1].lower() or "watchdog" in row[1].lower()], calls
