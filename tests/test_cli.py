"""The command line as a person meets it: exit codes, one line for a mistake, the same figures by every door."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from emberdraft.cli import VERBS, main


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One rehearsed cook of ours in a record of its own."""
    path = tmp_path_factory.mktemp("cli") / "cooks.sqlite"
    assert main(["rehearse", "two_chops", "--db", str(path)]) == 0
    return path


def _json(capsys: pytest.CaptureFixture[str]) -> dict:
    return json.loads(capsys.readouterr().out)


def test_a_rehearsal_says_that_no_fire_was_burned(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rehearse", "two_chops"]) == 0
    assert "no real fire was burned" in capsys.readouterr().out


def test_a_recorded_rehearsal_is_listed_shown_and_marked_simulated(record: Path, capsys) -> None:
    assert main(["cooks", "--db", str(record)]) == 0
    assert "(simulated)" in capsys.readouterr().out
    assert main(["show", "last", "--db", str(record)]) == 0
    assert "Simulated: no real fire was burned." in capsys.readouterr().out


def test_show_in_degf_differs_only_in_units(record: Path, capsys) -> None:
    main(["show", "1", "--db", str(record), "--json"])
    target_c = next(p["target_c"] for p in _json(capsys)["phases"] if p["phase"] == "slow")
    main(["show", "1", "--db", str(record), "--units", "F"])
    assert f"{target_c * 9 / 5 + 32:.0f}\u00a0°F" in capsys.readouterr().out


def test_csv_has_a_row_a_second_and_the_json_the_same_count(record: Path, tmp_path: Path, capsys) -> None:
    main(["show", "1", "--db", str(record), "--json"])
    count = _json(capsys)["record"]["reading_count"]
    assert main(["export", "1", "--db", str(record)]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == count > 10_000
    assert main(["export", "1", "--db", str(record), "--format", "json", "-o", str(tmp_path / "cook.json")]) == 0
    whole = json.loads((tmp_path / "cook.json").read_text(encoding="utf-8"))
    assert len(whole["readings"]) == count


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["show", "7"], "cook '7': there is none of that number"),
        (["show", "chop"], "cook 'chop': there is none of that number"),
        (["export", "0"], "cook '0'"),
    ],
)
def test_a_cook_that_is_not_there_is_one_line_and_exit_1(record: Path, argv, words, capsys) -> None:
    assert main([*argv, "--db", str(record)]) == 1
    err = capsys.readouterr().err
    assert words in err and err.count("\n") == 1


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (["cooks", "--db", "nowhere/cooks.sqlite"], "there is no record here yet"),
        (["rehearse", "no_such_plan"], "no_such_plan"),
        (["rehearse", "two_chops", "--plant", "nowhere.py:Cooker"], "nowhere.py"),
        (["mark", "lit", "--db", "nowhere/cooks.sqlite"], "no host has"),
    ],
)
def test_what_a_user_can_get_wrong_is_one_line_and_exit_1(argv, words, capsys) -> None:
    assert main(argv) == 1
    err = capsys.readouterr().err
    assert words in err and err.count("\n") == 1 and "Traceback" not in err


def test_who_has_only_a_demonstration_is_told_where_it_is(tmp_path: Path, monkeypatch, capsys) -> None:
    monkeypatch.setenv("STATE_DIRECTORY", str(tmp_path))
    assert main(["cooks"]) == 1
    assert "demonstrations" not in capsys.readouterr().err
    (tmp_path / "demo.sqlite").touch()
    assert main(["cooks"]) == 1
    assert f"--db {tmp_path / 'demo.sqlite'}" in capsys.readouterr().err


def test_a_rehearsal_into_the_named_record_is_what_cooks_lists(tmp_path: Path, capsys) -> None:
    """What the line promises: `emberdraft rehearse PLAN --db PATH`."""
    path = tmp_path / "cooks.sqlite"
    assert main(["cooks", "--db", str(path)]) == 1
    assert f"emberdraft rehearse PLAN --db {path}" in capsys.readouterr().err
    assert main(["rehearse", "hold", "--db", str(path)]) == 0
    assert main(["cooks", "--db", str(path)]) == 0


@pytest.mark.parametrize("argv", [[], ["shw"], ["show"], ["export", "1", "--format", "xml"], ["rehearse"]])
def test_a_command_that_is_not_understood_is_exit_2(argv, capsys) -> None:
    with pytest.raises(SystemExit) as stop:
        main(argv)
    assert stop.value.code == 2


@pytest.mark.parametrize("verb", [verb for verb, _ in VERBS])
def test_every_verb_has_help(verb: str, capsys) -> None:
    with pytest.raises(SystemExit) as stop:
        main([verb, "--help"])
    assert stop.value.code == 0
    assert f"emberdraft {verb}" in capsys.readouterr().out


def test_a_file_that_is_no_record_is_refused_in_words(tmp_path: Path, capsys) -> None:
    fake = tmp_path / "cooks.sqlite"
    fake.write_text("not a database, just some words that are longer than a header " * 20)
    assert main(["cooks", "--db", str(fake)]) == 1
    assert "cooks.sqlite" in capsys.readouterr().err
    assert fake.read_text().startswith("not a database")


def test_doctor_finds_a_broken_settings_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    settings = tmp_path / "emberdraft.toml"
    settings.write_text('[broker]\nhots = "box"\n')
    monkeypatch.setenv("EMBERDRAFT_CONFIG", str(settings))
    assert main(["doctor", "--db", str(tmp_path / "none.sqlite")]) == 1
    assert "unknown key 'hots'; did you mean 'host'?" in capsys.readouterr().out
