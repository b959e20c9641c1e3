"""The user's own plans: a folder of TOML files. Each is whole or not there; a name can only be a name, never a path."""

from __future__ import annotations

import os
import re
import tempfile
import threading
from pathlib import Path

from emberdraft.daemon.plan import LARGEST_BYTES, example_names
from emberdraft.errors import UserError

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,59}")
NAME_RULE = "small letters, digits, - and _, at most 60, such as sunday_chops"


class PlanShelf:
    """Plans by name in one folder, which is made when the first is saved. Safe between threads."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._turn = threading.Lock()

    def names(self) -> list[str]:
        """The plans that are there, by name."""
        return sorted(file.stem for file in self.folder.glob("*.toml") if _NAME.fullmatch(file.stem))

    def text(self, name: str) -> str:
        """The text of a plan. Raises UserError when it is not there or cannot be read."""
        file = self._file(name)
        try:
            return file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            raise UserError(f"plan {name!r}: not UTF-8 text; save it as UTF-8") from None
        except OSError as error:
            raise UserError(f"plan {name!r}: {error.strerror}; the folder is {self.folder}") from None

    def save(self, name: str, text: str, replace: bool = False) -> Path:
        """Keep a plan under a name; one that is there is written over only with `replace`."""
        file = self._file(name)
        if name in example_names():
            raise UserError(f"plan name {name!r}: an example has that name; another would be right")
        if len(text.encode()) > LARGEST_BYTES:
            raise UserError(f"plan {name!r}: larger than {LARGEST_BYTES} bytes; a plan is a page of text")
        with self._turn:
            if file.exists() and not replace:
                raise UserError(f"plan name {name!r}: there is a plan of that name; another, or to replace it")
            self._write(file, text)
        return file

    def _file(self, name: str) -> Path:
        if not _NAME.fullmatch(name):
            raise UserError(f"plan name {name[:60]!r}: {NAME_RULE}, would be right")
        return self.folder / f"{name}.toml"

    def _write(self, file: Path, text: str) -> None:
        """Into a file beside it first, and onto the disk, then under its name in one step."""
        beside = ""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, beside = tempfile.mkstemp(dir=self.folder, prefix=".", suffix=".part")
            with open(handle, "w", encoding="utf-8", newline="\n") as out:
                out.write(text)
                out.flush()
                os.fsync(out.fileno())
            os.replace(beside, file)
        except OSError as error:
            Path(beside).unlink(missing_ok=True) if beside else None
            raise UserError(f"plan {file.stem!r}: not saved in {self.folder}: {error.strerror}") from None
