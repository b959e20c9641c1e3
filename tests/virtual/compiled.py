"""The firmware as `emberdraft board deploy` puts it onto a board: shrunk, .mpy files but for boot.py and main.py."""

from __future__ import annotations

from pathlib import Path

from emberdraft.deploy.build import build


def compile_into(folder: Path, converter: str = "max31856") -> Path:
    """Build the virtual board's tree into `folder`; the folder."""
    build(folder, "linux", converter, compiled=True)
    return folder
