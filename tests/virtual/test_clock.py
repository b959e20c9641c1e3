"""The board's clock under asyncio: sleeps, deadlines, timers and cancelling, the same in both interpreters."""

from __future__ import annotations

import pytest

from emberdraft.virtual.board import VirtualBoard
from emberdraft.virtual.machine import BoardError
from tests.virtual.conftest import SmallWorld, interpreter_or_skip

PROGRAM = """
import asyncio
import time

import machine

def say(*what):
    print(*what, (time.ticks_ms() + 5) // 10 * 10)

async def tick(name, ms, count):
    for _ in range(count):
        await asyncio.sleep_ms(ms)
        say(name)

async def for_an_hour():
    await asyncio.sleep(3600)

async def wait_in_vain():
    try:
        await asyncio.wait_for(for_an_hour(), 2)
    except asyncio.TimeoutError:
        say("out of time")

async def main():
    timer = machine.Timer(-1, mode=machine.Timer.PERIODIC, period=1500, callback=lambda _: say("timer"))
    endless = asyncio.create_task(tick("endless", 900, 1000))
    await asyncio.gather(tick("a", 700, 5), tick("b", 1100, 3), wait_in_vain())
    endless.cancel()
    try:
        await endless
    except asyncio.CancelledError:
        say("cancelled")
    timer.deinit()
    time.sleep_ms(250)
    say("slept")
    await asyncio.sleep(600)
    say("ten minutes")

asyncio.run(main())
"""

# Reckoned by hand: every 700, 1,100, 900 and 1,500 ms; 2,000 ms for the wait; the last 'a' is at 3,500.
TIMES_MS = {
    "a": [700, 1400, 2100, 2800, 3500],
    "b": [1100, 2200, 3300],
    "endless": [900, 1800, 2700],
    "timer": [1500, 3000],
    "out of time": [2000],
    "cancelled": [3500],
    "slept": [3750],
    "ten minutes": [603_750],
}


def since_start_ms(ticks, interpreter):
    """MicroPython's counter wraps as a board's does, soon after the start (overlay/time.py)."""
    return (ticks + 60_000) % (1 << 30) if interpreter == "micropython" else ticks


@pytest.mark.parametrize("interpreter", ["micropython", "cpython"])
def test_every_wait_ends_at_its_board_time(tmp_path, interpreter):
    interpreter = interpreter_or_skip() if interpreter == "micropython" else interpreter
    program = tmp_path / "program"
    program.mkdir()
    (program / "boot.py").write_text("")
    (program / "main.py").write_text(PROGRAM)
    board = VirtualBoard(SmallWorld(), interpreter=interpreter, work_dir=tmp_path / "flash", firmware=program)
    with board:
        board.run_until(605.0)
    told: dict[str, list[int]] = {}
    for line in board.console().splitlines():
        name, _, at_ms = line.rpartition(" ")
        told.setdefault(name, []).append(since_start_ms(int(at_ms), interpreter))
    assert {name: [round(ms, -1) for ms in times] for name, times in told.items()} == TIMES_MS


def test_firmware_that_ends_by_itself_is_an_error_with_its_last_words(tmp_path):
    program = tmp_path / "program"
    program.mkdir()
    (program / "boot.py").write_text("")
    (program / "main.py").write_text("raise SystemExit('no more')")
    board = VirtualBoard(SmallWorld(), interpreter="cpython", work_dir=tmp_path / "flash", firmware=program)
    with board, pytest.raises(BoardError, match="no more"):
        board.run_until(10.0)
