"""The list that a board looks its own files up in at each start: see firmware/emberboard/whole.py."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from zlib import crc32

SUMS = "sums.txt"


def names_in(folder: Path) -> list[str]:
    """What a board would run of a firmware folder: boot.py, main.py and every module of the package."""
    found = [path for kind in ("*.py", "*.mpy") for path in (folder / "emberboard").rglob(kind)]
    return ["boot.py", "main.py", *sorted(path.relative_to(folder).as_posix() for path in found)]


def text_of(folder: Path, names: Iterable[str]) -> str:
    """A line a file, its CRC-32 and its name; the last line is the check of all lines before it."""
    body = "".join(f"{crc32((folder / name).read_bytes()):08x} {name}\n" for name in names)
    return f"{body}{crc32(body.encode()):08x}\n"
