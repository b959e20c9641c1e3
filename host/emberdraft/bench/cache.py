"""Limits and bump tests kept on disk, under a key that changes with anything they depend on."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from pathlib import Path

import platformdirs

from .cookers import Cooker
from .scenarios import SCENARIOS

HERE = Path(__file__).parent
LIMIT_FILES = ("limit_law.py", "limit_horizon.py", "rig.py", "weather.py")
MODEL_FILES = ("bump.py", "baselines.py", "sensors.py", "rig.py", "weather.py")


def cache_folder() -> Path:
    """The user's cache folder for benches; EMBERDRAFT_CACHE names another."""
    return Path(os.environ.get("EMBERDRAFT_CACHE") or platformdirs.user_cache_dir("emberdraft")) / "bench"


def limit_key(cooker: Cooker, scenario: str, seed: int) -> str:
    """Key of a limit: cooker, scenario, seed and the code that finds it."""
    return _key("limit", cooker, repr(SCENARIOS[scenario]), seed, LIMIT_FILES)


def model_key(cooker: Cooker, seed: int) -> str:
    """Key of a bump test's model."""
    return _key("model", cooker, "", seed, MODEL_FILES)


def _key(kind: str, cooker: Cooker, story: str, seed: int, files: tuple[str, ...]) -> str:
    total = hashlib.sha256(f"{kind} {cooker.content_key()} {story} {seed}".encode())
    for name in files:
        total.update((HERE / name).read_bytes())
    return f"{kind}-{total.hexdigest()[:32]}"


def cached(key: str, find: Callable[[], dict[str, float]]) -> dict[str, float]:
    """The kept value, or a fresh one which is then kept; a folder that cannot be written costs only the keeping."""
    path = cache_folder() / f"{key}.json"
    try:
        return {name: float(value) for name, value in json.loads(path.read_text(encoding="utf-8")).items()}
    except (OSError, ValueError):
        value = find()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        partial = path.with_suffix(f".{os.getpid()}")
        partial.write_text(json.dumps(value), encoding="utf-8")
        partial.replace(path)
    except OSError:
        pass
    return value
