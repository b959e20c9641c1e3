"""Delete all my data: in words, nothing else, and nothing is left."""

from __future__ import annotations

from pathlib import Path

import pytest

from emberdraft.cli import main
from emberdraft.commands import delete_all_my_data as verb
from emberdraft.commands.host import Host
from emberdraft.daemon.broker_keys import BrokerKeys, keys_file
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.store import Store
from emberdraft.web.people import People, people_file
from tests.store.making import reading

CANARY = "canary-of-the-test"


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """A record with a cook, a plan, a person and passwords, and two files of somebody else's beside it."""
    db = tmp_path / "mine" / "cooks.sqlite"
    db.parent.mkdir()
    with Store(db) as store:
        store.add_records("yard", "b1", [reading(seq) for seq in range(50)])
        store.begin_cook("yard", f"cook {CANARY}", None, 0.0)
    PlanShelf(db.with_name("plans")).save("sunday", f'name = "{CANARY}"')
    BrokerKeys(keys_file(db)).password("yard")
    people = People(people_file(db))
    people.pair(people.invite(), CANARY, "here")
    (db.parent / "letter.txt").write_text("not ours")
    (db.with_name("plans") / "notes.md").write_text("not ours")
    return db


def everything(db: Path) -> list[str]:
    return sorted(str(path.relative_to(db.parent)) for path in db.parent.rglob("*") if path.is_file())


def test_the_words_said_whole_delete_all_of_it_and_nothing_else(record: Path, capsys) -> None:
    assert main(["delete-all-my-data", "--db", str(record), "--say", verb.WORDS]) == 0
    assert everything(record) == ["letter.txt", "plans/notes.md"]
    left = b"".join(path.read_bytes() for path in record.parent.rglob("*") if path.is_file())
    assert CANARY.encode() not in left
    told = capsys.readouterr().out
    assert all(name in told for name in ("cooks.sqlite", "sunday.toml", "people.json", "broker-keys.json"))
    assert "settings file" in told and "Wi-Fi key" in told


@pytest.mark.parametrize("said", ["", "yes", "y", "Delete everything!", "delete"])
def test_anything_else_keeps_it(record: Path, capsys, said: str) -> None:
    before = everything(record)
    assert main(["delete-all-my-data", "--db", str(record), "--say", said]) == 1
    assert everything(record) == before
    assert "Nothing was deleted" in capsys.readouterr().err


def test_it_asks_at_the_keyboard(record: Path, monkeypatch) -> None:
    monkeypatch.setattr("builtins.input", lambda _question: verb.WORDS)
    assert main(["delete-all-my-data", "--db", str(record)]) == 0
    assert not record.exists()


def test_a_running_host_is_not_pulled_away_from_under(tmp_path: Path, capsys) -> None:
    db = tmp_path / "cooks.sqlite"
    with Host(db, "yard"):
        assert main(["delete-all-my-data", "--db", str(db), "--say", verb.WORDS]) == 1
        assert db.exists()
    assert "another Emberdraft" in capsys.readouterr().err


def test_where_nothing_is_nothing_is_asked(tmp_path: Path, capsys) -> None:
    assert main(["delete-all-my-data", "--db", str(tmp_path / "none.sqlite")]) == 0
    assert "Nothing of Emberdraft's" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []
