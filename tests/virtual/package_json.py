"""firmware/package.json, the list that `mip` installs from: made from what is there.

`python -m tests.virtual.package_json` writes it anew after a file was added or renamed.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

FIRMWARE = Path(__file__).parents[2] / "firmware"


def modules(folder: Path = FIRMWARE) -> list[str]:
    """Places of the modules that go onto a board: those that git knows, or all of another folder."""
    if folder == FIRMWARE:
        listed = subprocess.run(["git", "ls-files", "."], cwd=folder, capture_output=True, text=True, check=True)
        names = [name for name in listed.stdout.split() if name.endswith(".py")]
    else:
        names = [path.relative_to(folder).as_posix() for path in folder.rglob("*.py")]
    return sorted(names, key=lambda name: ("/" in name, name))


def text(folder: Path = FIRMWARE) -> str:
    """What package.json must be: every module by its place, and the version of the package."""
    line = next(row for row in (folder / "emberboard" / "__init__.py").read_text().splitlines() if "__version__" in row)
    rows = ",\n".join(f'    ["{name}", "{name}"]' for name in modules(folder))
    version = json.dumps(line.split('"')[1])
    return f'{{\n  "urls": [\n{rows}\n  ],\n  "deps": [],\n  "version": {version}\n}}\n'


if __name__ == "__main__":
    (FIRMWARE / "package.json").write_text(text())
