"""The application under its watchdog. Whatever ends it: blower 0, then a reset.

For HOLD_OFF_MS after a reset nothing runs: a developer can interrupt it (Ctrl-C, or mpremote)
before the watchdog starts, which then cannot be stopped any more. The watchdog starts when all
code is loaded, which takes seconds on a small board; until then the blower has no permission.
"""

import sys
import time

import machine

from emberboard.boards.safe import make_safe

HOLD_OFF_MS = 3000
WATCHDOG_MS = 3000
LAST_WORDS_MS = 200


def prepare():
    """Everything built and started; gives the application."""
    from emberboard import permit, wiring
    from emberboard.boards import parts
    from emberboard.uptime import Uptime

    app = wiring.build(Uptime(time.ticks_ms, time.ticks_diff))
    cause = app.keep.started(machine.reset_cause() == machine.WDT_RESET)
    app.timer = parts.every(permit.CHECK_MS, app.permit.check)
    app.begin(machine.WDT(timeout=WATCHDOG_MS).feed, cause)
    wiring.let_go()
    return app


def note_failure():
    """One more start that ended badly; after three of them in a row the board stays off."""
    from emberboard.keep import Keep

    keep = Keep()
    keep.note(keep.trips, keep.failed + 1, 1)


time.sleep_ms(HOLD_OFF_MS)
try:
    import asyncio

    asyncio.run(prepare().run())
except Exception as error:
    make_safe()
    sys.print_exception(error)
    note_failure()
    time.sleep_ms(LAST_WORDS_MS)
machine.reset()
