"""Faults put into the code by hand, one at a time, to see that a test notices each.

    python -m tests.mutants.faults [ID ...]      (none: all)

`faults.json` lists them: file, what stands there, what stands there instead, the folders whose quick tests should
notice, and `tests`: those that are known to, run first. A fault is put into a copy of the tree, never into the tree. It
has died if a test fails, and lived if all pass. Where code moves, its fault is worded anew; none goes because it lives.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from queue import Queue
from typing import Any

ROOT = Path(__file__).parents[2]
LIST = Path(__file__).with_name("faults.json")
LONGEST_S = 900.0
LEAVE = (".git", ".venv", "build", "typings", "__pycache__", ".mypy_cache*", ".ruff_cache", ".pytest_cache")
WORKERS = 2


def faults() -> list[dict[str, Any]]:
    """The list."""
    rows: list[dict[str, Any]] = json.loads(LIST.read_text(encoding="utf-8"))
    return rows


def spoilt(fault: dict[str, Any], root: Path) -> str:
    """The text of its file with the fault in it; the place must be found exactly once."""
    text = (root / fault["file"]).read_text(encoding="utf-8")
    if text.count(fault["old"]) != 1:
        raise ValueError(f"{fault['id']}: {fault['file']} has its place {text.count(fault['old'])} times, not once")
    return text.replace(fault["old"], fault["new"])


def tree_in(folder: Path) -> Path:
    """A copy of the tree to put faults into, one after the other: what is compiled once serves them all."""
    root = folder / "tree"
    shutil.copytree(ROOT, root, ignore=shutil.ignore_patterns(*LEAVE), symlinks=True)
    return root


@contextmanager
def put_into(root: Path, fault: dict[str, Any]) -> Iterator[None]:
    """The fault is in this copy of the tree for a while; nothing compiled of that file is left."""
    file = root / fault["file"]
    whole = file.read_bytes()
    try:
        _write(file, spoilt(fault, root).encode())
        yield
    finally:
        _write(file, whole)


def _write(file: Path, content: bytes) -> None:
    file.write_bytes(content)
    for compiled in file.parent.glob(f"__pycache__/{file.stem}.*.pyc"):
        compiled.unlink()


def noticed(fault: dict[str, Any], root: Path) -> str:
    """The test that failed with the fault in this copy of the tree; empty: the fault lived."""
    with put_into(root, fault):
        return next(filter(None, (failed(root, stage) for stage in stages(fault))), "")


def stages(fault: dict[str, Any]) -> list[list[str]]:
    """Known tests first, then whole folders."""
    return [stage for stage in (fault.get("tests", []), fault["folders"]) if stage]


def failed(root: Path, tests: list[str]) -> str:
    """The first test that fails, the time limit included; pytest's own breakdown is an error, not a death."""
    paths = os.pathsep.join(str(root / part) for part in ("host", "firmware", "."))
    env = {**os.environ, "PYTHONPATH": paths}
    words = ["-q", "-x", "-p", "no:cacheprovider", "-m", "not prove", "--deselect", "tests/test_proof.py", *tests]
    command = [sys.executable, "-m", "pytest", *words]
    try:
        ended = subprocess.run(
            command, cwd=root, env=env, capture_output=True, text=True, timeout=LONGEST_S, check=False
        )
    except subprocess.TimeoutExpired:
        return "ran out of time"
    if ended.returncode not in (0, 1, 2):
        raise RuntimeError(f"pytest ended with {ended.returncode}:\n{ended.stdout[-2000:]}{ended.stderr[-2000:]}")
    lines = [line for line in ended.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return (lines or ["pytest stopped"])[0] if ended.returncode else ""


def judge(rows: list[dict[str, Any]], workers: int = WORKERS) -> Iterator[tuple[str, str]]:
    """(id, the test that noticed or nothing) of each fault, in order."""
    with tempfile.TemporaryDirectory(prefix="faults_") as folder:
        trees: Queue[Path] = Queue()
        for number in range(workers):
            trees.put(tree_in(Path(folder) / str(number)))

        def one(fault: dict[str, Any]) -> tuple[str, str]:
            root = trees.get()
            try:
                return fault["id"], noticed(fault, root)
            finally:
                trees.put(root)

        with ThreadPoolExecutor(workers) as pool:
            yield from pool.map(one, rows)


def main() -> int:
    """Print died or lived for each; exit code 1 if any lived."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants.faults")
    parser.add_argument("ids", nargs="*")
    asked = parser.parse_args().ids
    lived = 0
    rows = [fault for fault in faults() if not asked or fault["id"] in asked]
    for name, by in judge(rows):
        lived += not by
        print(f"{name}: {'died: ' + by if by else 'LIVED'}", flush=True)
    print(f"{len(rows) - lived} of {len(rows)} died")
    return bool(lived)


if __name__ == "__main__":
    sys.exit(main())
