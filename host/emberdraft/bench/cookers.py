"""The cookers of the bench: two sets that are never mixed, and cookers from a file of one's own.

`tuned_on` may be looked at while the controller is being made; `validation` never. Each entry is a kind of plant and a
draw: draw 0 is the plant as its file describes it, any other number draws its constants widely from that seed.
"""

from __future__ import annotations

import ast
import hashlib
import importlib
import importlib.util
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType
from typing import Any

from emberdraft.errors import UserError

from .rig import NotPossibleError, Plant

SCARCE_FUEL_KG = 0.6
Overrides = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Cooker:
    """Where the plant's class is found (`package.module:Class` or `FILE.py:Class`), which draw of it, and the weather.

    `more` are overrides on top of the draw; `ambient_c` is the air around it, in which it also starts.
    """

    name: str
    where: str
    draw: int
    group: str
    more: Overrides = ()
    ambient_c: float = 20.0

    def build(self, seed: int, scarce_fuel: bool = False) -> Plant:
        """A fresh plant. Little fuel is asked for by the override that our plants call fuel_kg."""
        kind = load_class(self.where)
        overrides: dict[str, float] = dict(kind.draw(self.draw)) if self.draw else {}
        overrides.update(self.more)
        if not scarce_fuel:
            return kind(seed, **overrides)  # type: ignore[no-any-return]
        try:
            return kind(seed, **{**overrides, "fuel_kg": SCARCE_FUEL_KG})  # type: ignore[no-any-return]
        except (UserError, TypeError, ValueError) as error:
            raise NotPossibleError("the plant takes no fuel_kg") from error

    def content_key(self) -> str:
        """A hash of the source that this cooker is made of: the class's file and the neighbours that it imports."""
        place, _, name = self.where.rpartition(":")
        source = Path(place) if place.endswith(".py") else Path(str(importlib.import_module(place).__file__))
        total = hashlib.sha256(f"{name} {self.draw} {self.more} {self.ambient_c}".encode())
        for path in _sources(source):
            total.update(path.read_bytes())
        return total.hexdigest()


def _sources(first: Path) -> list[Path]:
    """The file and all files of its folder that it imports, directly or through others."""
    found, new = {first}, [first]
    while new:
        tree = ast.parse(new.pop().read_text(encoding="utf-8"))
        named = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        paths = {first.parent / f"{name.rpartition('.')[2]}.py" for name in named}
        more = [path for path in sorted(paths - found) if path.exists()]
        found.update(more)
        new += more
    return sorted(found)


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


def _changed(cooker: Cooker, what: str, more: Overrides = (), ambient_c: float = 20.0) -> Cooker:
    start = (("start_c", ambient_c),) if ambient_c != 20.0 else ()
    return replace(cooker, name=f"{cooker.name}-{what}", more=(*more, *start), ambient_c=ambient_c)


def _tuned_on() -> list[Cooker]:
    heavy = _kinds("tuned_on", "heavy_ceramic", "HeavyCeramic", (0, 11, 12))
    return [
        *heavy,
        _changed(heavy[0], "weak", WEAK_BLOWER),
        _changed(heavy[0], "strong", STRONG_BLOWER),
        _changed(heavy[0], "cold", ambient_c=-10.0),
        *_kinds("tuned_on", "leaky_ceramic", "LeakyCeramic", (0, 21)),
        *_kinds("tuned_on", "small_ceramic", "SmallCeramic", (0, 31)),
        *_kinds("tuned_on", "muffle", "Muffle", (0, 41)),
    ]


def _validation() -> list[Cooker]:
    """Kinds of equations that are in no other set, and one wide draw of a known kind in the cold."""
    zones = _kinds("validation", "two_zone", "TwoZone", (0, 51, 52))
    steel = _kinds("validation", "thin_steel", "ThinSteel", (0, 61, 62))
    known = _kinds("validation", "heavy_ceramic", "HeavyCeramic", (71,))[0]
    return [*zones, *steel, _changed(known, "cold", ambient_c=-10.0)]


# Free pressure in Pa and free delivery in g/s of a blower that barely suffices, and of one far too large.
WEAK_BLOWER: Overrides = (("blower_pa", 55.0), ("blower_gps", 2.4))
STRONG_BLOWER: Overrides = (("blower_pa", 300.0), ("blower_gps", 9.0))
COOKERS: tuple[Cooker, ...] = (*_tuned_on(), *_validation())
