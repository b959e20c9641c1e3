"""What is costly to make and always the same: made once for all processes of the tests, and kept for the next run."""

from __future__ import annotations

import fcntl
import hashlib
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def digest(files: Iterable[Path], *more: str) -> str:
    """Of all that a thing is made of: a kept one is as a new one would be."""
    found = hashlib.sha256(repr(more).encode())
    for path in sorted(files):
        found.update(str(path.relative_to(ROOT)).encode() + path.read_bytes())
    return found.hexdigest()[:16]


def kept(shelf: str, made_of: str, make: Callable[[Path], object]) -> Path:
    """The folder build/`shelf`/`made_of`, filled by `make` if it is not there; what is made of anything else goes."""
    top = ROOT / "build" / shelf
    top.mkdir(parents=True, exist_ok=True)
    folder = top / made_of
    with (top / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            for old in top.iterdir():
                shutil.rmtree(old, ignore_errors=True)
            part = top / "part"
            part.mkdir()
            make(part)
            part.rename(folder)
    return folder
