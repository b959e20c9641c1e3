"""A board for deployment: the real interpreter behind a serial port, its folder the board's file system."""

from __future__ import annotations

import json
from pathlib import Path

from emberdraft.deploy.build import CONVERTERS
from emberdraft.deploy.remote import Remote
from emberdraft.virtual.interpreter import find_micropython
from tests.virtual.pty_bridge import PtyBridge
from tests.waiting import CAP_S

# What the interpreter for a computer lacks: a reset that would end it.
MACHINE = "def reset():\n    pass\n"


class StandIn:
    """`flash` is its file system; `plug()` again after `pull()`, and the files are still there."""

    def __init__(self, flash: Path) -> None:
        self.flash = flash
        (flash / "machine.py").write_text(MACHINE)
        self.plug()

    def plug(self) -> Remote:
        self.bridge = PtyBridge([find_micropython() or "", "-X", "heapsize=1m"], str(self.flash))
        self.remote = Remote(self.bridge.port, call_s=CAP_S)
        return self.remote

    def pull(self) -> None:
        self.bridge.close()

    def files(self, folder: str) -> dict[str, bytes]:
        root = self.flash / folder
        return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}


def firmware(folder: Path, version: str, extra: int = 0) -> Path:
    """A small firmware with the shape of the real one; `extra` modules that are the same in every version."""
    names = {"boot.py": f"# {version}\n", "main.py": f"# {version}\n"}
    names["emberboard/__init__.py"] = f'__version__ = "{version}"\n'
    names["emberboard/boards/fitted.py"] = 'CONVERTER = "max31856"\n'
    names |= {f"emberboard/drivers/{chip}.py": f"chip = '{chip}'\n" for chip in CONVERTERS}
    names |= {f"emberboard/more{k}.py": f"number = {k}\n" for k in range(extra)}
    for name, text in names.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    (folder / "package.json").write_text(json.dumps({"urls": [[name, name] for name in names]}))
    return folder
