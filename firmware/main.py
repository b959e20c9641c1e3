"""The application under its watchdog. Whatever ends it: blower 0, then a reset.

For HOLD_OFF_MS after a reset nothing runs: a developer can interrupt it (Ctrl-C, or mpremote)
before the watchdog starts, which then cannot be stopped any more. The watchdog starts when all
code is loaded, which takes seconds on a small board; until then the blower has no permission.
Nothing of the package is needed for a reset: a tree too broken to be loaded fails its starts too.
"""

import os
import sys
import time

import machine

HOLD_OFF_MS = 3000
WATCHDOG_MS = 3000
LAST_WORDS_MS = 200
TRIAL = "emberboard/trial"
ASKED = "asked"  # emberboard/keep.py
MOST_COUNTED = 3


def count_start():
    """One more start of a tree that has not yet run for a minute (boot.py looks at how many)."""
    try:
        if os.stat(TRIAL)[6] < MOST_COUNTED:
            with open(TRIAL, "ab") as file:
                file.write(b".")
    except OSError:  # no such tree, or no room to write: then it runs uncounted
        pass


def stop_blower():
    """Its pin off."""
    from emberboard.boards.safe import make_safe

    make_safe()


def prepare():
    """Everything built and started; gives the application."""
    from emberboard import whole

    stop_blower()  # once more: a tree that cannot even do this is not run
    damage = whole.damage()
    from emberboard import permit, wiring
    from emberboard.boards import parts
    from emberboard.uptime import Uptime

    app = wiring.build(Uptime(time.ticks_ms, time.ticks_diff), damage)
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


def note_asked():
    """The next start is a person's wish, and no bite of the watchdog, whatever the chip says."""
    with open(ASKED, "wb"):
        pass


def do_all(*deeds):
    """Each of them, whatever becomes of the others."""
    for deed in deeds:
        try:
            deed()
        except Exception as error:  # it is in the broken tree: the reset that follows is left
            sys.print_exception(error)


def last_words(error):
    """Blower off, and what ended it: told, and kept for the next start."""
    sys.print_exception(error)
    do_all(stop_blower, note_failure)


try:
    time.sleep_ms(HOLD_OFF_MS)
    count_start()
    import asyncio

    asyncio.run(prepare().run())
except KeyboardInterrupt:  # Ctrl-C at the cable: the prompt, and soon the watchdog
    do_all(stop_blower, note_asked)
    raise
except Exception as error:
    last_words(error)
    time.sleep_ms(LAST_WORDS_MS)
machine.reset()
