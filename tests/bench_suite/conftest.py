"""A cache of its own for every test, and the throw-away cooker."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.bench.cookers import Cooker, from_file

TOY = Path(__file__).with_name("toy.py")


@pytest.fixture(autouse=True)
def own_cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Nothing is read from or left in the user's cache."""
    monkeypatch.setenv("EMBERDRAFT_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def toy() -> Cooker:
    """The toy as a cooker from a file."""
    return from_file(f"{TOY}:Toy")
