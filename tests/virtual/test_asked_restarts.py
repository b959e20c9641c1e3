"""Restarts that somebody asked for are no bites of the watchdog, though a Pico's chip says so of each.

RP2040: `machine.reset()` resets the chip through its watchdog, and MicroPython's `reset_cause()` gives WDT_RESET for
every reset in which the watchdog had a part (ports/rp2/modmachine.c: `watchdog_caused_reboot()`; from memory). The
virtual board answers so (virtual/machine.py).
"""

from __future__ import annotations

import pytest

from tests.virtual.conftest import SmallWorld

BITTEN_S = 3.6  # the watchdog's patience, the way to boot.py, and a moment
UP_S = 12.0


def get_in(board, cook):
    """What each command of `emberdraft board` does first: interrupt, be thrown out by the watchdog, again."""
    board.ctrl_c()
    cook.run(BITTEN_S)
    board.ctrl_c()
    cook.run(5.0)


def work_and_restart(cook):
    """In, some work at the prompt, and `mpremote reset`."""
    boots = cook.board.boots
    get_in(cook.board, cook)
    assert cook.board.boots == boots + 1  # no watchdog at the prompt any more
    cook.board.reset()
    cook.run(UP_S)
    assert cook.board.boots == boots + 2


def starts(cook):
    return [
        (event["text"], event["value"])
        for event in cook.events
        if event["kind"] == "boot" and event["value"] is not None
    ]


def test_five_commands_in_a_row_leave_a_healthy_board_healthy(start):
    """Deploy, settings, self-test, check and restore, each with its restart, within five minutes."""
    cook = start(SmallWorld())
    for _ in range(5):
        work_and_restart(cook)
    assert cook.board.now_s < 300.0
    assert starts(cook)[1:] == [("asked", 0.0)] * 5
    cook.hold()
    cook.run(20.0)
    assert cook.board.drive > 0.0


def test_a_self_test_that_lets_the_watchdog_bite_counts_nothing(start):
    """At the prompt the script starts the watchdog and hangs; the note of the interrupt is still there."""
    cook = start(SmallWorld())
    get_in(cook.board, cook)
    cook.board.reset()  # for the chip the same as a bite
    cook.board.run_until(cook.board.now_s + 1.0)
    cook.board.ctrl_c()
    cook.run(5.0)
    cook.board.reset()
    cook.run(UP_S)
    assert starts(cook)[-1] == ("asked", 0.0)


def test_a_bite_behind_an_asked_restart_counts(start):
    cook = start(SmallWorld())
    work_and_restart(cook)
    for count in (1.0, 2.0, 3.0):
        cook.board.hang()
        cook.run(BITTEN_S + UP_S)
        assert starts(cook)[-1] == ("watchdog", count)
    assert cook.of("alert/boot_failed")[-1]["kind"] == "trip"


def test_an_exception_behind_an_asked_restart_counts(start):
    cook = start(SmallWorld())
    work_and_restart(cook)
    cook.board.throw()
    cook.run(UP_S)
    assert starts(cook)[-1] == ("exception", 1.0)


@pytest.mark.parametrize("off_s", [1.0, 10.0])
def test_a_plug_pulled_at_the_prompt_takes_the_note_with_the_next_start(start, off_s):
    cook = start(SmallWorld())
    get_in(cook.board, cook)
    cook.board.power_cut(off_s)
    cook.run(off_s + UP_S)
    assert not (cook.board.flash / "asked").exists()
    cook.board.hang()
    cook.run(BITTEN_S + UP_S)
    assert starts(cook)[-1] == ("watchdog", 1.0)


def test_an_interrupt_while_the_blower_runs_stops_it_at_once(start):
    cook = start(SmallWorld())
    cook.hold()
    cook.run(20.0)
    assert cook.board.drive > 0.0
    cook.board.ctrl_c()
    cook.run(0.5)
    assert cook.board.drive == 0.0
