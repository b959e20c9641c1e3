"""`emberdraft settings`: shown, explained and changed, with the rest of a person's file untouched."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from emberdraft import config
from emberdraft.cli import main
from emberdraft.config import Config, config_path, load_config
from emberdraft.config_file import settings_of

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "host_settings.md"
OWN = '# my yard\nunits = "C"  # my mother reads these\n\n[broker]\nhost = "box"\n'


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "emberdraft.toml"
    path.write_text(OWN)
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(path))
    return path


def test_a_change_keeps_every_other_line_and_every_comment(file: Path) -> None:
    assert main(["settings", "units", "F"]) == 0
    assert file.read_text() == OWN.replace('"C"', '"F"')
    assert load_config().units == "F"


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [("broker.port", "8883", 8883), ("more_cookers", "left, right", ["left", "right"]), ("notify.webhook", "x", "x")],
)
def test_a_value_is_written_as_what_it_is_and_read_back_by_the_standard_library(file, key, text, value) -> None:
    assert main(["settings", key, text]) == 0
    found = tomllib.loads(file.read_text())
    for part in key.split("."):
        found = found[part]
    assert found == value


def test_reset_brings_the_default_back(file: Path) -> None:
    assert main(["settings", "broker.host", "--reset"]) == 0
    assert "host" not in tomllib.loads(file.read_text())["broker"]
    assert load_config() == Config()


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["broker.hst"], "did you mean 'broker.host'?"),
        (["units", "K"], "units"),
        (["broker.port", "many"], "broker.port 'many': a whole number"),
        (["broker.port", "70000"], "broker.port"),
        (["--reset"], "name one KEY"),
    ],
)
def test_what_is_wrong_is_one_line_and_nothing_is_written(file: Path, argv, words, capsys) -> None:
    assert main(["settings", *argv]) == 1
    said = capsys.readouterr().err
    assert words in said and said.count("\n") == 1
    assert file.read_text() == OWN


def test_a_file_that_cannot_be_read_is_not_overwritten(file: Path, capsys) -> None:
    file.write_bytes(b"\xff\xfe not text")
    assert main(["settings", "units", "F"]) == 1
    assert "mend it by hand" in capsys.readouterr().err
    assert file.read_bytes() == b"\xff\xfe not text"


def test_the_page_has_every_setting_with_its_default_and_meaning() -> None:
    rows = [line for line in PAGE.read_text().splitlines() if line.startswith("| `")]
    said = [
        f"| `{one.key}` | {'none' if one.default in ('', []) else f'`{one.default}`'} | {one.meaning} |"
        for one in settings_of()
    ]
    assert rows == said


def test_the_services_file_holds_where_there_is_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EMBERDRAFT_CONFIG", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.setattr(config, "SERVICE_FILE", tmp_path / "etc.toml")
    own = tmp_path / "emberdraft" / "emberdraft.toml"
    assert config_path() == own
    (tmp_path / "etc.toml").write_text("")
    assert config_path() == tmp_path / "etc.toml"
    own.parent.mkdir()
    own.write_text("")
    assert config_path() == own
