"""What all tests share."""

from __future__ import annotations

import json
import os
import uuid
from collections.abc import Callable
from pathlib import Path

import pytest


@pytest.fixture
def proof() -> Callable[[str, str, object, str, list[str]], None]:
    """proof(section, name, value, wanted, covers): write one figure down, when `make prove` asks for it."""
    folder = os.environ.get("EMBERDRAFT_PROOF")

    def write(section: str, name: str, value: object, wanted: str, covers: list[str]) -> None:
        if folder:
            row = {"section": section, "name": name, "value": value, "wanted": wanted, "covers": covers}
            (Path(folder) / f"{uuid.uuid4().hex}.json").write_text(json.dumps(row), encoding="utf-8")

    return write
