"""What every file must keep: no addresses of one machine, no open ends, documentation that holds together."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

ROOT = Path(__file__).parents[1]


def _tracked(*suffixes: str) -> list[Path]:
    out = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    paths = (ROOT / line for line in out.splitlines() if line.endswith(suffixes))
    return [p for p in paths if p.exists() and ".min." not in p.name and p != Path(__file__)]


def test_no_open_ends() -> None:
    marks = re.compile(r"\b(TODO|FIXME|XXX|HACK)\b|NotImplementedError|pytest\.mark\.skip\(")
    hits = [p.name for p in _tracked(".py", ".js", ".md") if marks.search(p.read_text(encoding="utf-8"))]
    assert hits == []


def test_no_function_is_endless() -> None:
    """STYLE of the house: 25 lines need a reason, 60 are refused."""
    import ast

    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path in _tracked(".py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno - node.lineno >= 60
    ]
    assert long == []


def test_pins_are_names_and_versions_only() -> None:
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").split("\n")
    rows = [line for line in lines if line and not line.startswith("#")]
    assert rows
    assert all(re.fullmatch(r"[A-Za-z0-9._-]+==[^\s/]+( ;.*)?", row) for row in rows)
