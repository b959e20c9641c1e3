"""A power cut in the middle of a write: stands in for `os` and `open` of a module that keeps files."""

from __future__ import annotations

import os
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest


class CutError(Exception):
    """The power is gone."""


class Cutting:
    """The power goes after `left` bytes and renames."""

    def __init__(self, left: int) -> None:
        self.left = left

    def rename(self, old: str, new: str) -> None:
        self.spend(1)
        os.rename(old, new)

    def open(self, path: str, mode: str) -> object:
        return Writer(self, Path(path)) if "w" in mode else open(path, mode)

    def spend(self, steps: int) -> None:
        if self.left < steps:
            raise CutError
        self.left -= steps


class Writer:
    """A file that keeps only the bytes for which there was power."""

    def __init__(self, cutting: Cutting, path: Path) -> None:
        self.cutting, self.path = cutting, path

    def __enter__(self) -> Writer:
        return self

    def __exit__(self, *_error: object) -> None:
        return None

    def write(self, text: str) -> None:
        raw = text.encode()
        self.path.write_bytes(raw[: self.cutting.left])
        self.cutting.spend(len(raw))


def runs_out(module: ModuleType, left: int, patch: pytest.MonkeyPatch, work: Any) -> bool:
    """Do `work()` of `module` with power for `left` bytes and renames; True if it was cut."""
    with patch.context() as cut:
        cutting = Cutting(left)
        cut.setattr(module, "os", cutting)
        cut.setattr(module, "open", cutting.open, raising=False)
        try:
            work()
        except CutError:
            return True
    return False
