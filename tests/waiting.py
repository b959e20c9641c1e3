"""Waiting for real things (sockets, processes, threads): until a condition holds, never for a time.

The cap is ten times what the slowest of them takes on an idle computer. It ends a test that would hang; no test
measures by it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

CAP_S = 100.0
LOOK_S = 0.01


def until(condition: Callable[[], T], cap_s: float = CAP_S, what: Callable[[], object] = lambda: "") -> T:
    """The condition's value as soon as it holds; `what` is told when it never does."""
    end_s = time.monotonic() + cap_s
    while not (value := condition()):
        if time.monotonic() > end_s:
            raise AssertionError(f"waited {cap_s:g} s in vain: {what()}")
        time.sleep(LOOK_S)
    return value
