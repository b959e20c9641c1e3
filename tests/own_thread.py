"""A thread of its own for a test that wants no event loop around it.

A browser that an earlier test drove leaves its loop running in the thread of the tests; what looks for a running loop
(httpx's own transport, zeroconf) takes it for its own and waits for ever.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")


def in_own_thread(work: Callable[[], T]) -> T:
    """What `work` gives or raises, done in a fresh thread."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(work).result()
