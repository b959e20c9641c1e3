"""Where the database lives."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.store import default_path


def test_under_systemd_it_is_the_services_state_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    # systemd.exec(5): StateDirectory= sets STATE_DIRECTORY; several are separated by colons.
    monkeypatch.setenv("STATE_DIRECTORY", "/var/lib/emberdraft:/var/lib/other")
    assert default_path() == Path("/var/lib/emberdraft/cooks.sqlite")


def test_else_it_is_the_users_data_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    # XDG Base Directory Specification: XDG_DATA_HOME. Only Linux follows it.
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    place = default_path()
    assert place.name == "cooks.sqlite"
    assert "emberdraft" in place.parts
