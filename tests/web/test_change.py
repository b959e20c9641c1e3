"""The evening changed from the page and by the verb: first said, then done."""

from __future__ import annotations

import argparse
from typing import Any

import pytest

from emberdraft.commands import change
from emberdraft.errors import UserError
from tests.web.conftest import RUNNING, Kitchen


def asked(kitchen: Kitchen, name: str, **args: Any) -> Any:
    return kitchen.post("/api/foresee", {"name": name, "args": args})


def test_what_a_change_makes_of_the_evening_is_said_and_nothing_is_done(kitchen: Kitchen) -> None:
    before = kitchen.http.get("/api/now").json()
    found = asked(kitchen, "drop_piece", letter="B").json()
    assert found["lines"][0] == "Dropped the cold chop (B)." and found["lines"][1].startswith("Dinner ")
    assert (found["raises"], found["more"]) == (False, {})
    after = kitchen.http.get("/api/now").json()
    assert after["marks"] == before["marks"] and after["deeper"]["change"] == before["deeper"]["change"]


def test_what_would_be_refused_is_refused_at_the_question(kitchen: Kitchen) -> None:
    assert asked(kitchen, "drop_piece", letter="Q").status_code == 409
    assert asked(kitchen, "sing").status_code == 409
    assert asked(kitchen, "drop_piece", note="?").status_code == 409


def test_a_hotter_pit_says_that_it_raises_heat_and_brings_dinner_nearer(kitchen: Kitchen) -> None:
    kitchen.clock.at_s += 400.0  # nobody has said to be there for so long
    kitchen.pass_s()
    found = asked(kitchen, "target", target_c=125.0, from_now_on=True).json()
    assert found["raises"] is True
    body = {"name": "target", "args": {"target_c": 125.0, "from_now_on": True}}
    assert kitchen.post("/api/command", body).status_code == 409
    body["args"]["at_cooker"] = True  # type: ignore[index]
    last = kitchen.post("/api/command", body).json()["last"]
    assert last["undo"]["mark_id"] and "at_cooker" not in last["undo"]
    assert kitchen.post("/api/undo", {"mark_id": last["undo"]["mark_id"]}).status_code == 200


def parsed(*words: str) -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    change.add_arguments(parser)
    return parser.parse_args([*words])


def test_the_verb_says_it_first_and_does_it_with_yes(kitchen: Kitchen, monkeypatch: Any, capsys: Any) -> None:
    """Its questions go to the page of this kitchen in place of a running host's."""

    def call(db: Any, path: str, body: Any, *more: Any) -> Any:
        answer = kitchen.post(path, body)
        if answer.status_code != 200:
            raise UserError(answer.json()["error"]["what"])
        return answer.json()

    monkeypatch.setattr(change, "call", call)
    assert change.main(parsed("dinner", "23:30")) == 0
    assert "Nothing is changed yet" in capsys.readouterr().out
    assert "serve" not in kitchen.store.plan(kitchen.store.cook(RUNNING)["plan_id"])["text"]
    assert change.main(parsed("dinner", "23:30", "--yes")) == 0
    assert capsys.readouterr().out.startswith("Dinner at 23:30.\nDinner ")
    assert 'serve = "23:30"' in kitchen.store.plan(kitchen.store.cook(RUNNING)["plan_id"])["text"]
    assert change.main(parsed("back", "--yes")) == 0
    assert "serve" not in kitchen.store.plan(kitchen.store.cook(RUNNING)["plan_id"])["text"]
    with pytest.raises(UserError, match="piece 'Q'"):
        change.main(parsed("drop", "Q"))


@pytest.mark.parametrize(
    ("words", "name", "args"),
    [
        (
            ("target", "250C", "--this-phase"),
            "target",
            {"target_c": 250.0, "from_now_on": False},
        ),
        (("shorter", "30min"), "longer", {"by_s": -1800.0, "letter": ""}),
        (("longer", "10min", "--piece", "B"), "longer", {"by_s": 600.0, "letter": "B"}),
        (("pull", "A", "57C"), "pull_at", {"letter": "A", "pull_c": 57.0}),
        (("no-sear",), "no_sear", {}),
    ],
)
def test_the_words_of_the_verb(words: tuple[str, ...], name: str, args: dict[str, Any]) -> None:
    assert change.asked_of(parsed(*words)) == (name, args)


def test_a_piece_on_the_command_line_is_the_forms() -> None:
    name, args = change.asked_of(parsed("add", "--cut", "steak", "--animal", "beef", "--mass", "1lb", "--probe", "2"))
    assert name == "add_piece" and args["probe"] == 2
    assert args["piece"] == {
        "animal": "beef", "cut": "steak", "kind": "whole", "mass": "1lb", "thickness": "", "done": "", "cold": True,
    }  # fmt: skip
