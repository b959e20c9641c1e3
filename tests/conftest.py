"""What all tests share."""

from __future__ import annotations

import json
import os
import signal
import uuid
from collections.abc import Callable
from pathlib import Path

import pytest


def pytest_configure() -> None:
    """What a shell starts in its background ignores Ctrl-C, and so would what the tests start (POSIX sh, 2.11)."""
    if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
        signal.signal(signal.SIGINT, signal.default_int_handler)


@pytest.fixture
def proof() -> Callable[[str, str, object, str, list[str]], None]:
    """proof(section, name, value, wanted, covers): write one figure down, when `make prove` asks for it."""
    folder = os.environ.get("EMBERDRAFT_PROOF")

    def write(section: str, name: str, value: object, wanted: str, covers: list[str]) -> None:
        if folder:
            row = {"section": section, "name": name, "value": value, "wanted": wanted, "covers": covers}
            (Path(folder) / f"{uuid.uuid4().hex}.json").write_text(json.dumps(row), encoding="utf-8")

    return write
