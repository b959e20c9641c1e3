"""The application under its watchdog. Whatever ends it: blower 0, then a reset.

For HOLD_OFF_MS after a reset nothing runs: a developer can interrupt it (Ctrl-C, or mpremote)
before the watchdog starts, which then cannot be stopped any more.
"""

import asyncio
import sys
import time

import machine

from emberboard import permit
from emberboard.boards.parts import Parts
from emberboard.boards.safe import make_safe
from emberboard.keep import Keep
from emberboard.uptime import Uptime
from emberboard.wiring import build

HOLD_OFF_MS = 3000
WATCHDOG_MS = 3000
LAST_WORDS_MS = 200


def run():
    """Start everything; comes back only with an exception."""
    watchdog = machine.WDT(timeout=WATCHDOG_MS)
    app = build(Parts, Uptime(time.ticks_ms, time.ticks_diff), watchdog.feed)
    app.parts.every(permit.CHECK_MS, app.permit.check)
    app.begin()
    asyncio.run(app.run())


def note_failure():
    """One more start that ended badly; after three of them in a row the board stays off."""
    keep = Keep()
    keep.note(keep.trips, keep.failed + 1)


time.sleep_ms(HOLD_OFF_MS)
if machine.reset_cause() == machine.WDT_RESET:
    note_failure()
try:
    run()
except Exception as error:
    make_safe()
    sys.print_exception(error)
    note_failure()
    time.sleep_ms(LAST_WORDS_MS)
machine.reset()
