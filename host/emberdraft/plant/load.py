"""`--plant FILE.py:Class`: find a simulated cooker, ours or somebody else's."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError
from emberdraft.plant.catalogue import BY_NAME
from emberdraft.plant.contract import Plant
from emberdraft.plant.heavy_ceramic import HeavyCeramic

NEEDED = ("step", "add_food", "remove_food")


def load_plant(spec: str | None = None, seed: int = 0, **overrides: float) -> Plant:
    """A plant by name ('heavy_ceramic'), by 'FILE.py:Class', or the heavy ceramic one for None."""
    kind = plant_class(spec)
    try:
        plant = kind(seed=seed, **overrides)
    except UserError:
        raise
    except Exception as error:
        raise UserError(f"plant '{spec}' could not be made: {type(error).__name__}: {error}") from error
    missing = [name for name in NEEDED if not callable(getattr(plant, name, None))]
    if missing:
        raise UserError(f"plant '{spec}' lacks {', '.join(missing)}; it must have {', '.join(NEEDED)}")
    made: Plant = plant
    return made


def plant_class(spec: str | None) -> type:
    """The class that `spec` names."""
    if spec is None:
        return HeavyCeramic
    if spec in BY_NAME:
        return BY_NAME[spec].kind
    path_text, colon, class_name = spec.rpartition(":")
    if not colon or not path_text.endswith(".py") or not class_name.isidentifier():
        raise UserError(f"plant '{spec}' is neither one of {', '.join(BY_NAME)} nor of the form FILE.py:Class")
    module = _module(Path(path_text))
    found = getattr(module, class_name, None)
    if not isinstance(found, type):
        classes = [name for name, value in vars(module).items() if isinstance(value, type)]
        raise UserError(f"{path_text} has no class '{class_name}'; it has {', '.join(classes) or 'none'}")
    return found


def _module(path: Path) -> Any:
    if not path.is_file():
        raise UserError(f"plant file '{path}' is not there")
    where = importlib.util.spec_from_file_location(f"plant_{path.stem}", path)
    if where is None or where.loader is None:
        raise UserError(f"plant file '{path}' is no Python file")
    module = importlib.util.module_from_spec(where)
    try:
        where.loader.exec_module(module)
    except Exception as error:
        raise UserError(f"plant file '{path}' does not run: {type(error).__name__}: {error}") from error
    return module
