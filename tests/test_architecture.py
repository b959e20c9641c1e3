"""Imports point one way, and each dangerous library stays in the one folder that may touch it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
HOST = ROOT / "host" / "emberdraft"
FIRMWARE = ROOT / "firmware" / "emberboard"

# A package may import from its own layer's row or from any row below it. Names are packages under emberdraft.
LAYERS = (
    {"__main__"},
    {"cli"},
    {"commands"},
    {"web"},
    {"daemon", "review", "tuning", "trials", "bench", "virtual"},
    {"evening"},
    {"ready", "deploy"},
    {"store", "food", "plant"},
    {"mark_words"},
    {"config_file", "said"},
    {"config", "quantities", "clock", "plans", "phases"},
    {"errors", "nesting"},
)
# Sideways imports that are meant: the rehearsal runs plans on the virtual board, the service reports figures, margins
# are worked out in one place, a trial is printed like a cook.
SIDEWAYS = {
    ("daemon", "virtual"),
    ("daemon", "review"),
    ("tuning", "bench"),
    ("trials", "review"),
    ("web", "web"),
    ("store", "store"),
}

CORE_MAY_IMPORT = {"math", "collections"}

ONLY_IN = {
    "starlette": {"web"},
    "uvicorn": {"web", "commands"},
    "sqlite3": {"store"},
    "sqlite_utils": {"store"},
    "paho": {"daemon"},
    "iotcore": {"daemon"},
    "amqtt": {"daemon"},
}


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            dots = "." * node.level
            yield f"{dots}{node.module or ''}"


def _level(package: str) -> int | None:
    return next((i for i, layer in enumerate(LAYERS) if package in layer), None)


def _host_files() -> list[Path]:
    return [p for p in HOST.rglob("*.py") if "overlay" not in p.parts and p != HOST / "__init__.py"]


def _package(path: Path) -> str:
    parts = path.relative_to(HOST).parts
    return parts[0] if len(parts) > 1 else path.stem


@pytest.mark.parametrize("path", _host_files(), ids=lambda p: str(p.relative_to(HOST)))
def test_host_imports_point_down(path: Path) -> None:
    mine = _package(path)
    assert _level(mine) is not None, f"{mine} stands in no layer: add it to LAYERS with a reason"
    for name in _imports(path):
        if not name.startswith("emberdraft."):
            continue
        theirs = name.split(".")[1]
        if theirs == mine or (mine, theirs) in SIDEWAYS:
            continue
        assert _level(theirs) is not None, f"{path.name} imports {name}, which stands in no layer"
        assert _level(mine) < _level(theirs), f"{path.name} imports {name}: upwards or sideways"


@pytest.mark.parametrize("path", _host_files(), ids=lambda p: str(p.relative_to(HOST)))
def test_libraries_stay_in_their_folder(path: Path) -> None:
    for name in _imports(path):
        allowed = ONLY_IN.get(name.split(".")[0])
        assert allowed is None or _package(path) in allowed, f"{path.name} imports {name}"


@pytest.mark.parametrize("path", sorted((FIRMWARE / "core").glob("*.py")), ids=lambda p: p.name)
def test_core_has_no_clock_and_no_io(path: Path) -> None:
    for name in _imports(path):
        inside = name.startswith((".", "emberboard.core"))
        assert inside or name.split(".")[0] in CORE_MAY_IMPORT, f"core/{path.name} imports {name}"


@pytest.mark.parametrize("path", sorted(FIRMWARE.rglob("*.py")), ids=lambda p: str(p.relative_to(FIRMWARE)))
def test_firmware_never_imports_the_host(path: Path) -> None:
    assert not any(name.split(".")[0] == "emberdraft" for name in _imports(path))


@pytest.mark.parametrize("path", sorted(FIRMWARE.rglob("*.py")), ids=lambda p: str(p.relative_to(FIRMWARE)))
def test_only_board_files_import_machine(path: Path) -> None:
    if path.parent.name != "boards":
        assert "machine" not in set(_imports(path))


def test_an_upward_import_would_be_seen() -> None:
    assert _level("store") > _level("daemon") > _level("web") > _level("cli")
