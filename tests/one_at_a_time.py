"""What only one test of this computer may hold at a time, such as a port that cannot be chosen."""

from __future__ import annotations

import contextlib
import fcntl
import tempfile
from collections.abc import Iterator
from pathlib import Path

BROKER_PORT = "port-1883"


@contextlib.contextmanager
def alone(with_what: str) -> Iterator[None]:
    """Waits until nobody else holds it; let go when the process ends, however it ends."""
    with (Path(tempfile.gettempdir()) / f"{with_what}.test-lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
