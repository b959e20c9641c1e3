"""`make check`: style of what has changed, then the tests that reach it, the nearest first, as many as 20 s hold.

    python -m tests.check            # what differs from the last commit
    python -m tests.check main       # what differs from a branch

A test reaches a file by the imports that start at it (tests/proof/closure.py), by running the firmware or the page, or
by its name in the test's text. Nearest is a test that was changed itself, then one that speaks of the file, then the
one that reaches fewest files. What finds no room is said, and left to `make test`.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

from tests.proof.closure import closure

ROOT = Path(__file__).parents[1]
TIMES = ROOT / "tests" / "times.json"
BUDGET_S = 10.0  # of two processors, beside the start of Python
WALK_THE_DOCUMENTS = ("tests/test_docs_links.py", "tests/test_docs_prose.py", "tests/test_docs_glossary.py")
UNKNOWN_S = 3.0  # a file that has never been timed
# Who reaches the first runs what lies in the second without importing it.
RUNS = {
    "host/emberdraft/virtual/interpreter.py": ("firmware/",),
    "host/emberdraft/web/pages.py": ("host/emberdraft/web/static/", "host/emberdraft/web/templates/"),
}


def changed(base: str) -> list[str]:
    """Files that differ from `base` or that git does not know, as paths from the root."""
    asked = (["diff", "--name-only", base], ["ls-files", "--others", "--exclude-standard"])
    found = [
        subprocess.run(["git", *ask], cwd=ROOT, capture_output=True, text=True, check=True).stdout for ask in asked
    ]
    return sorted({name for text in found for name in text.splitlines()})


def reaches(test: str) -> set[str]:
    """All that this test file stands on."""
    return {str(path.relative_to(ROOT)) for path in closure([test])}


def touches(test: str, reached: set[str], names: list[str]) -> bool:
    """Whether one of the changed files may change what this test finds."""
    if reached.intersection(names):
        return True
    if test in WALK_THE_DOCUMENTS and any(name.endswith(".md") for name in names):
        return True
    run = tuple(part for name, parts in RUNS.items() if name in reached for part in parts)
    text = (ROOT / test).read_text(encoding="utf-8")
    return any(name.startswith(run) or Path(name).name in text for name in names)


def speaks_of(test: str, names: list[str]) -> bool:
    """Whether the test names a changed file: it is likely to be its own. Of a page's module, a test of the page."""
    text = (ROOT / test).read_text(encoding="utf-8")
    named = [name for name in names if not name.endswith(".js") or test.startswith("tests/web/")]
    words = [Path(name).name if name.endswith(".md") else Path(name).stem for name in named]
    return any(re.search(rf"\b{re.escape(word)}\b", text) for word in words)


def chosen(names: list[str], tests: list[str], took_s: dict[str, float]) -> tuple[list[str], list[str]]:
    """(tests to run, tests for which there is no room), each the nearest first."""
    reached = {test: reaches(test) for test in tests}
    near = [test for test in tests if touches(test, reached[test], names)]
    near.sort(key=lambda test: (test not in names, not speaks_of(test, names), len(reached[test]), test))
    room_s, run, left = BUDGET_S * 2.0, [], []
    for test in near:
        cost_s = took_s.get(test, UNKNOWN_S)
        (run if cost_s <= room_s or test in names else left).append(test)
        room_s -= cost_s if run and run[-1] == test else 0.0
    return run, left


def main(base: str = "HEAD") -> int:
    """Style, then tests; the exit code of the first that fails."""
    names = [name for name in changed(base) if (ROOT / name).exists()]
    python = [name for name in names if name.endswith(".py")]
    for words in (["check", "-q"], ["format", "--check", "-q"]) if python else ():
        code = subprocess.run(["ruff", *words, *python], cwd=ROOT, check=False).returncode
        if code:
            return code
    tests = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "tests").rglob("test_*.py"))
    run, left = chosen(names, tests, json.loads(TIMES.read_text(encoding="utf-8")))
    print(f"{len(names)} files differ from {base}; {len(run)} files of tests reach them", flush=True)
    if left:
        print(f"no room for {len(left)} more, which `make test` runs: {', '.join(left[:4])} ...", flush=True)
    if not run:
        return 0
    pytest = [sys.executable, "-m", "pytest", "-q", "-n", "2", "--dist", "loadfile", "-m", "not prove", *run]
    return subprocess.run(pytest, cwd=ROOT, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
