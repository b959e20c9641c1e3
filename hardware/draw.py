"""Draws the wiring anew: `python -m hardware.draw`, with the programs `wireviz` and `dot` on the path.

WireViz is run as a program (its licence is the GPL) and is not needed for anything else. Each picture ends with the
hash of its source, so that a picture older than its source is seen without it.
"""

from __future__ import annotations

import hashlib
import subprocess
from pathlib import Path

WIRING = Path(__file__).with_name("wiring")


def mark(source: Path) -> str:
    """The last line of a picture."""
    return f"<!-- drawn from {source.name}, sha256 {hashlib.sha256(source.read_bytes()).hexdigest()} -->\n"


def draw(source: Path) -> None:
    """One picture beside its source."""
    subprocess.run(["wireviz", "-f", "s", source.name], cwd=source.parent, check=True)
    picture = source.with_suffix(".svg")
    picture.write_text(picture.read_text(encoding="utf-8") + mark(source), encoding="utf-8")


if __name__ == "__main__":
    for found in sorted(WIRING.glob("*.yml")):
        draw(found)
