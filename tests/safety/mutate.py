"""Spoil the safety code on purpose, one small change at a time, and see that a test notices.

    python -m tests.safety.mutate [FILE[:WORDS] ...]        (WORDS: only changes whose name has them)

Every comparison is flipped or moved by its boundary, every number moved by a tenth both ways, every `and`, `or`, `not`,
`+`, `-`, `min`, `max`, True and False exchanged. A change that no test notices is a survivor: it needs a reason in
tests/safety/survivors.py. Each spoilt module is served by an import hook in a forked process: no file is touched.
"""

from __future__ import annotations

import ast
import importlib.abc
import importlib.machinery
import importlib.util
import itertools
import os
import resource
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
BOARD = ROOT / "firmware" / "emberboard"
LONGEST_CPU_S = 120  # of processor time: a busy computer must not count as a test that noticed
PIECE = 48
TESTS = "tests/safety/"

# What is spoilt, and the tests that should notice, in stages: the quick ones first, the next for what those let pass.
BOUNDS = TESTS + "test_boundaries.py"
GUARD = TESTS + "test_guard.py"
LAST_WORD = TESTS + "test_last_word.py"
TABLE = [BOUNDS + "::test_at_the_bound_and_beside_it"]
READING = "tests/core/test_reading.py"
COOKS = [BOUNDS, LAST_WORD, TESTS + "test_hot_starts.py"]
TARGETS: dict[str, list[list[str]]] = {
    "core/alerts.py": [[TESTS + "test_alert_states.py"]],
    "permit.py": [[BOUNDS, "tests/drivers/test_permit.py"]],
    "core/interlocks.py": [TABLE, [BOUNDS]],
    "core/guard.py": [[GUARD], COOKS],
    "core/agreed.py": [[GUARD, TESTS + "test_twice.py"]],
    "core/lasting.py": [[GUARD]],
    "core/levels.py": [[GUARD]],
    "core/notices.py": [[BOUNDS]],
    "core/probes.py": [[BOUNDS]],
    "core/noise.py": [[BOUNDS]],
    "core/reading.py": [[READING], [BOUNDS]],
    "core/twice.py": [[TESTS + "test_twice.py"]],
    "core/watch.py": [[BOUNDS]],
    "app.py": [[LAST_WORD, TESTS + "test_application.py"]],
}

FLIPS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Lt: (ast.LtE, ast.GtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
SWAPS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.BitOr: ast.BitAnd,
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any"}


class Mutant(NamedTuple):
    """One spoilt module: `key` names it for the list of survivors, `source` is its text."""

    file: str
    key: str
    source: str


Change = Callable[[], None]


def _compare(node: ast.Compare) -> Iterator[tuple[str, Change]]:
    for place, op in enumerate(node.ops):
        for other in FLIPS[type(op)]:
            yield (
                f"{type(op).__name__} to {other.__name__}",
                lambda p=place, o=other: node.ops.__setitem__(p, o()),  # type: ignore[misc]
            )


def _number(node: ast.Constant) -> Iterator[tuple[str, Change]]:
    value = node.value
    if value is True or value is False:
        yield f"{value} to {not value}", lambda: setattr(node, "value", not value)
    elif isinstance(value, (int, float)):
        step = abs(value) * 0.1 or 1.0
        for new in (value + step, value - step):
            moved = round(new) if isinstance(value, int) else new
            if moved == value:
                moved = value + (1 if new > value else -1)
            yield f"{value} to {moved:g}", lambda n=moved: setattr(node, "value", n)  # type: ignore[misc]


def _changes(node: ast.AST) -> Iterator[tuple[str, Change]]:
    """Every way to spoil this one node: what it does in words, and the deed."""
    if isinstance(node, ast.Compare):
        yield from _compare(node)
    elif isinstance(node, ast.Constant):
        yield from _number(node)
    elif isinstance(node, ast.BoolOp):
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"{type(node.op).__name__} to {other.__name__}", lambda: setattr(node, "op", other())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.USub)):
        new = ast.UAdd() if isinstance(node.op, ast.USub) else None
        if new is not None:
            yield "minus to plus", lambda: setattr(node, "op", new)
        else:
            yield "not dropped", lambda: setattr(node, "operand", ast.UnaryOp(ast.Not(), node.operand))
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in SWAPS:
        swap = SWAPS[type(node.op)]
        yield f"{type(node.op).__name__} to {swap.__name__}", lambda: setattr(node, "op", swap())
    elif isinstance(node, ast.Name) and node.id in NAMES:
        yield f"{node.id} to {NAMES[node.id]}", lambda: setattr(node, "id", NAMES[node.id])


def _places(text: str) -> Iterator[tuple[str, ast.AST, Change]]:
    """The key, the tree and the deed of every change of a text, all of one fresh tree."""
    tree, lines = ast.parse(text), text.splitlines()
    for node in list(ast.walk(tree)):
        for words, deed in list(_changes(node)):
            yield f"{lines[node.lineno - 1].strip()}: {words}", tree, deed  # type: ignore[attr-defined]


def place_of(file: str) -> tuple[Path, str]:
    """Where a module lies and how it is imported: of the firmware by its path in it, of the host from the root."""
    home, path = (
        (ROOT / "host", file.removeprefix("host/"))
        if file.startswith("host/")
        else (BOARD.parent, f"emberboard/{file}")
    )
    return home / path, path.removesuffix(".py").replace("/", ".")


def keys(file: str) -> list[str]:
    """The key of every spoilt version of a file, in order."""
    return [f"{file}: {key}" for key, _, _ in _places(place_of(file)[0].read_text(encoding="utf-8"))]


def mutants(file: str, places: Iterable[int]) -> Iterator[Mutant]:
    """The spoilt versions of these places in `keys(file)`, each made from a fresh tree."""
    text, names = place_of(file)[0].read_text(encoding="utf-8"), keys(file)
    for place in places:
        _, tree, deed = next(itertools.islice(_places(text), place, None))
        deed()
        yield Mutant(file, names[place], ast.unparse(ast.fix_missing_locations(tree)))


class Spoilt(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Serves one module from the spoilt text instead of its file."""

    def __init__(self, name: str, source: str) -> None:
        self.name, self.source = name, source

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        return importlib.util.spec_from_loader(fullname, self) if fullname == self.name else None

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.source, self.name, "exec"), module.__dict__)


def noticed(mutant: Mutant, tests: list[str]) -> bool:
    """Whether any of the tests fails on it, in a process of its own."""
    child = os.fork()
    if child == 0:
        _be_the_child(mutant, tests)
    _, status = os.waitpid(child, 0)
    return status != 0


def _be_the_child(mutant: Mutant, tests: list[str]) -> None:
    import pytest

    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"  # none is needed, and each takes its time
    resource.setrlimit(resource.RLIMIT_CPU, (LONGEST_CPU_S, LONGEST_CPU_S))  # a change that never ends is noticed too
    null = os.open(os.devnull, os.O_WRONLY)
    os.dup2(null, 1)
    os.dup2(null, 2)
    for loaded in [key for key in sys.modules if key.partition(".")[0] in ("emberboard", "emberdraft", "tests")]:
        del sys.modules[loaded]
    sys.meta_path.insert(0, Spoilt(place_of(mutant.file)[1], mutant.source))
    os._exit(int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-m", "not prove", *tests])))


def survivors(file: str, places: Iterable[int], stages: list[list[str]] | None = None) -> list[str]:
    """The keys of those spoilt versions of the file that no test noticed; `stages`: other tests than of TARGETS."""
    tests = TARGETS[file] if stages is None else stages
    whole = Mutant(file, "", place_of(file)[0].read_text(encoding="utf-8"))
    if any(noticed(whole, stage) for stage in tests):
        raise RuntimeError(f"{file}: its tests fail on the unspoilt file")
    return [m.key for m in mutants(file, places) if not any(noticed(m, stage) for stage in tests)]


def pieces(file: str) -> list[range]:
    """The places of `keys(file)` in pieces of at most PIECE: each takes some minutes, and they run side by side."""
    count = len(keys(file))
    return [range(start, min(start + PIECE, count)) for start in range(0, count, PIECE)]


def main() -> int:
    """Print each file's figures and what survived."""
    import pytest  # noqa: F401 - before the forks, so that none has to load it

    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT), str(ROOT / "host"), str(ROOT / "firmware")]
    for asked in sys.argv[1:] or TARGETS:
        file, _, words = asked.partition(":")
        places = [place for place, key in enumerate(keys(file)) if words in key]
        left = survivors(file, places)
        print(f"{file}: {len(places) - len(left)} of {len(places)} noticed", flush=True)
        print("".join(f"    {key}\n" for key in left), end="", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
