"""firmware/package.json, the list that `mip` installs from: made from what is there.

`python -m tests.virtual.package_json` writes it anew after a file was added or renamed.
"""

from __future__ import annotations

import json
from pathlib import Path

FIRMWARE = Path(__file__).parents[2] / "firmware"


def text() -> str:
    """What package.json must be: every module by its place, and the version of the package."""
    line = next(
        row for row in (FIRMWARE / "emberboard" / "__init__.py").read_text().splitlines() if "__version__" in row
    )
    files = [FIRMWARE / "boot.py", FIRMWARE / "main.py", *sorted((FIRMWARE / "emberboard").rglob("*.py"))]
    names = [path.relative_to(FIRMWARE).as_posix() for path in files]
    rows = ",\n".join(f'    ["{name}", "{name}"]' for name in names)
    version = json.dumps(line.split('"')[1])
    return f'{{\n  "urls": [\n{rows}\n  ],\n  "deps": [],\n  "version": {version}\n}}\n'


if __name__ == "__main__":
    (FIRMWARE / "package.json").write_text(text())
