"""The first thing a board runs: outputs safe before anything else; then the tree that shall run.

A tree that `emberdraft board deploy` has put here carries the file `trial` until it has run for a
minute, and each start adds a byte to it (main.py). With three bytes it has failed three starts:
it is moved out of the way, and Python, which looks in the root first and in lib/ second, finds the
tree before it. That is one rename. What is still to be done when power fails behind it, or behind
the switch of a deploy, is done at the next start.

What runs then may be damaged so badly that it says nothing, main.py first of all. So this file
looks at every other one, and calls out by light and buzzer; main.py, which runs even if this file
cannot be read, looks at this one.
"""

import gc
import os
import sys

TRIAL = "emberboard/trial"
MOST_FAILED = 3


def safe():
    """Blower off. A tree too broken for it is no reason to stop: the pin is dead by itself."""
    try:
        from emberboard.boards.safe import make_safe

        make_safe()
    except Exception as error:
        sys.print_exception(error)


def look():
    """Light on and one long tone, if any file is not as it was put here, or none can be asked."""
    try:
        from emberboard import whole

        wrong = whole.damage()
    except Exception as error:
        sys.print_exception(error)
        wrong = True
    if wrong:
        try:
            from emberboard.boards.safe import call_out

            call_out()
        except Exception as error:  # no light either; the blower's pin is dead all the same
            sys.print_exception(error)


def size(path):
    """Bytes of a file, 0 of a folder, None where there is nothing."""
    try:
        return os.stat(path)[6]
    except OSError:
        return None


def give_way():
    """Move a tree that has failed three starts out of the way; True if that was done."""
    if (size(TRIAL) or 0) < MOST_FAILED or size("lib/emberboard") is None:
        return False
    os.rename("emberboard", "failed")
    for name in list(sys.modules):
        if name.split(".")[0] == "emberboard":
            del sys.modules[name]
    return True


def finish():
    """main.py and boot.py go with their tree."""
    for name in ("main.py", "boot.py"):
        if size("failed") is not None and size("lib/" + name + ".old") is not None:
            os.rename("lib/" + name + ".old", name)
        switched = size("next/list.json") is None and size("next/emberboard") is None
        if switched and size("next/" + name) is not None:
            os.rename("next/" + name, name)


safe()
if give_way():
    safe()
finish()
gc.threshold(8192)  # while the code is loaded: a heap that fills first is a heap in pieces
look()
