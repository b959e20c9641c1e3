"""A sealed file outlives new firmware that knows one setting more or one less; a broken seal does not."""

from __future__ import annotations

import json

import pytest

from emberboard import settings as table
from emberdraft.deploy import board_settings


class Files:
    """Stands in for the board: one file that can be read and replaced."""

    def __init__(self, text):
        self.text, self.written = text, None

    def call(self, *words):
        return self.text if words[0] == "cat" else "True\n"

    def put(self, files):
        self.written = next(iter(files))[0].read_text()


@pytest.fixture
def sealed(tmp_path):
    """settings.json as the firmware itself seals it, without the setting `mains_hz`."""

    def make(monkeypatch):
        fields = {name: field for name, field in table.FIELDS.items() if name != "mains_hz"}
        with monkeypatch.context() as older:
            older.setattr(table, "FIELDS", fields)
            older.setattr(table, "_values", lambda given: ({**table.defaults(), **given}, []))
            (tmp_path / "settings.json").write_text(json.dumps({"cooker": "yard", "wifi_key": "canary"}))
            assert table.load(f"{tmp_path}/")[2] == ["settings sealed"]
        return (tmp_path / "settings.json").read_text()

    return make


def test_an_older_firmwares_settings_are_carried_over(sealed, monkeypatch):
    files = Files(sealed(monkeypatch))
    assert "mains_hz" not in json.loads(files.text)
    assert "carried over" in board_settings.carry_over(files)
    values, troubles = table.parse(files.written)
    assert troubles == []
    assert (values["cooker"], values["wifi_key"], values["mains_hz"]) == ("yard", "canary", 50)
    assert table.CHECK not in json.loads(files.written)


def test_a_broken_seal_is_not_carried_over(sealed, monkeypatch):
    files = Files(sealed(monkeypatch).replace('"yard"', '"yare"'))
    assert "damaged" in board_settings.carry_over(files)
    assert files.written is None


def test_settings_of_the_same_firmware_are_left_alone(tmp_path):
    (tmp_path / "settings.json").write_text(json.dumps({"cooker": "yard"}))
    table.load(f"{tmp_path}/")
    files = Files((tmp_path / "settings.json").read_text())
    assert board_settings.carry_over(files) == ""
    assert files.written is None
