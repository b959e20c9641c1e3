"""The cookers of the bench: two sets that are never mixed, and cookers from a file of one's own.

`tuned_on` may be looked at while the controller is being made; `validation` never. Each entry is a kind of plant and a
draw: draw 0 is the plant as its file describes it, any other number draws its constants widely from that seed.
"""

from __future__ import annotations

import hashlib
import importlib
import importlib.util
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from emberdraft.errors import UserError

from .rig import NotPossibleError, Plant

SCARCE_FUEL_KG = 0.55


@dataclass(frozen=True)
class Cooker:
    """Where the plant's class is found (`package.module:Class` or `FILE.py:Class`), and which draw of it."""

    name: str
    where: str
    draw: int
    group: str

    def build(self, seed: int, scarce_fuel: bool = False) -> Plant:
        """A fresh plant. Little fuel is asked for by the override that our plants call fuel_kg."""
        kind = load_class(self.where)
        overrides: dict[str, float] = dict(kind.draw(self.draw)) if self.draw else {}
        if not scarce_fuel:
            return kind(seed, **overrides)  # type: ignore[no-any-return]
        try:
            return kind(seed, **{**overrides, "fuel_kg": SCARCE_FUEL_KG})  # type: ignore[no-any-return]
        except (UserError, TypeError, ValueError) as error:
            raise NotPossibleError("the plant takes no fuel_kg") from error

    def content_key(self) -> str:
        """A hash of the source that this cooker is made of: the class's file and, for a package, its neighbours."""
        place, _, name = self.where.rpartition(":")
        source = Path(place) if place.endswith(".py") else Path(str(importlib.import_module(place).__file__))
        files = sorted(source.parent.glob("*.py")) if (source.parent / "__init__.py").exists() else [source]
        total = hashlib.sha256(f"{name} {self.draw}".encode())
        for path in files:
            total.update(path.read_bytes())
        return total.hexdigest()


def load_class(where: str) -> Any:
    """The class behind `package.module:Class` or `FILE.py:Class`; UserError says what is wrong."""
    place, _, name = where.rpartition(":")
    if not place:
        raise UserError(f"bench: cooker '{where}' is not of the form FILE.py:Class")
    module = _load_file(Path(place)) if place.endswith(".py") else importlib.import_module(place)
    kind = getattr(module, name, None)
    if kind is None:
        raise UserError(f"bench: {place} has no class '{name}'")
    return kind


def _load_file(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path) if path.exists() else None
    if spec is None or spec.loader is None:
        raise UserError(f"bench: no plant file '{path}'")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def from_file(where: str) -> Cooker:
    """A cooker of one's own, reported in a group of its own."""
    load_class(where)
    return Cooker(where.rpartition(":")[2], where, 0, "own")


def _kinds(group: str, module: str, name: str, draws: tuple[int, ...]) -> list[Cooker]:
    where = f"emberdraft.plant.{module}:{name}"
    return [Cooker(f"{module}-{draw}" if draw else module, where, draw, group) for draw in draws]


COOKERS: tuple[Cooker, ...] = (*_kinds("tuned_on", "heavy_ceramic", "HeavyCeramic", (0,)),)
