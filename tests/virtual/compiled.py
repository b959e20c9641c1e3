"""The firmware as `emberdraft board deploy` puts it onto a board: shrunk, .mpy files but for boot.py and main.py."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.deploy.built import built


def compile_into(folder: Path, converter: str = "max31856") -> Path:
    """Put the virtual board's tree into `folder`; the folder."""
    return Path(shutil.copytree(built("linux", converter).folder, folder, dirs_exist_ok=True))
