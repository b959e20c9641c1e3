"""What a proof stands on: the files that the code behind it reads, found by following imports from where it starts.

Python is read as a tree, every import counted wherever it stands, and with it each package's `__init__`, the
`conftest.py` above a test, and strings that name a module of ours (`python -m`, a patched name) or a data file beside
the module or from the root. JavaScript is followed by its imports, a page by its scripts and styles. What neither shows
(firmware that another interpreter runs, pages a browser asks for) a test names itself: `prove(section, proves=[...])`.
"""

from __future__ import annotations

import ast
import hashlib
import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).parents[2]
HOMES = {"emberdraft": "host", "emberboard": "firmware", "tests": "."}
DATA = (".csv", ".css", ".db", ".html", ".js", ".json", ".sh", ".sql", ".svg", ".toml", ".webmanifest")
NOT_OURS = ("__pycache__", "typings")
JS_IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*["'](\.[^"']+)["']|(?:src|href)=["']([^"':]+)["']""")


def closure(starts: list[str], root: Path = ROOT) -> list[Path]:
    """Every file reached from these files and folders (paths from the root), sorted."""
    todo = [file for start in starts for file in _files(root / start)]
    seen: set[Path] = set()
    while todo:
        path = todo.pop()
        if path not in seen:
            seen.add(path)
            todo += _reached(path, root)
    return sorted(seen)


def digest(starts: list[str], root: Path = ROOT) -> str:
    """One hash over names and contents of all that is reached; a start that is gone is a name without content."""
    total = hashlib.sha256()
    for path in closure(starts, root):
        total.update(str(path.relative_to(root)).encode())
        total.update(_content(path))
    return total.hexdigest()[:20]


@cache
def _bytes(path: Path, _changed_ns: int) -> bytes:
    return path.read_bytes()


def _content(path: Path) -> bytes:
    return _bytes(path, path.stat().st_mtime_ns) if path.exists() else b""


def _files(start: Path) -> list[Path]:
    if not start.is_dir():
        return [start]
    files = (path for path in start.rglob("*") if path.suffix in (".py", *DATA))
    return [path for path in files if not set(path.parts) & set(NOT_OURS)]


def _reached(path: Path, root: Path) -> Iterator[Path]:
    if not path.exists():
        return
    if path.suffix == ".py":
        yield from _from_python(path, root, path.stat().st_mtime_ns)
        if path.is_relative_to(root / "tests"):
            yield from _conftests(path, root)
    elif path.suffix in (".js", ".html"):
        found = (Path(path.parent, one or two).resolve() for one, two in JS_IMPORT.findall(path.read_text("utf-8")))
        yield from (file for file in found if file.is_file())


def _conftests(path: Path, root: Path) -> Iterator[Path]:
    if path.name.startswith("test_"):
        above = (folder / "conftest.py" for folder in path.parents if folder.is_relative_to(root / "tests"))
        yield from (conftest for conftest in above if conftest.exists())


@cache
def _from_python(path: Path, root: Path, _changed_ns: int) -> list[Path]:
    found: list[Path] = []
    nodes = list(ast.walk(ast.parse(path.read_bytes())))
    for node in nodes:
        if isinstance(node, ast.Import):
            found += [file for name in node.names for file in module_files(name.name, root)]
        elif isinstance(node, ast.ImportFrom):
            base = _base(node, path, root)
            found += [file for name in node.names for file in module_files(f"{base}.{name.name}", root)]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            found += _named(node.value, path, root)
    return found + [file for call in nodes if isinstance(call, ast.List | ast.Tuple) for file in _started(call, root)]


def _started(words: ast.List | ast.Tuple, root: Path) -> list[Path]:
    """What a command `[..., "-m", "emberdraft", ...]` starts."""
    values = [word.value if isinstance(word, ast.Constant) else None for word in words.elts]
    started = [str(name) for dash, name in pairwise(values) if dash == "-m" and name in HOMES]
    mains = [root / HOMES[name] / name / "__main__.py" for name in started]
    return [main for main in mains if main.is_file()]


def _base(node: ast.ImportFrom, path: Path, root: Path) -> str:
    if not node.level:
        return node.module or ""
    home = next(root / home for home in HOMES.values() if path.is_relative_to(root / home))
    parts = path.relative_to(home).parts[: -node.level]
    return ".".join([*parts, *(node.module or "").split(".")]).strip(".")


def module_files(name: str, root: Path) -> list[Path]:
    """The files that importing this name runs: every package on the way, then the module if the last word is one."""
    parts = name.split(".")
    if parts[0] not in HOMES:
        return []
    place, files = root / HOMES[parts[0]], []
    for part in parts:
        place = place / part
        files += [each for each in (place / "__init__.py", place.with_name(part + ".py")) if each.is_file()]
    return files


def _named(text: str, path: Path, root: Path) -> list[Path]:
    """What a string names: a module by its dotted name, or a data file beside the module or from the root."""
    if re.fullmatch(r"(emberdraft|emberboard|tests)(\.\w+)+", text):
        return module_files(text, root)
    if not text.endswith(DATA) or len(text) > 100 or "\n" in text:
        return []
    return [file for file in (path.parent / text, root / text) if file.is_file()]
