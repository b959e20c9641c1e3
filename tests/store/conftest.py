"""A fresh store for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from emberdraft.store import Store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cooks.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with Store(path) as fresh:
        yield fresh
