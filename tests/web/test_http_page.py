"""docs/reference/http.md names every route and no other, and its examples have the keys that are served."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import msgspec
import pytest

from emberdraft.daemon import alarms, conductor, marks
from emberdraft.web import acts, begin, bring, door, plans, trials
from emberdraft.web.app import ROUTES
from tests.web.conftest import RUNNING, Kitchen

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "http.md"
SECTION = re.compile(r"^### (GET|POST) (\S+)\n(.*?)(?=^##|\Z)", re.MULTILINE | re.DOTALL)
EXAMPLE = re.compile(r"```json\n(.*?)```", re.DOTALL)
BODIES = {
    **{"mark": acts.MarkBody, "undo": acts.UndoBody, "answer": acts.AnswerBody, "command": acts.CommandBody},
    **{"plans/form": begin.FormBody, "plans/when": begin.WhenBody},
    **{"plans/check": plans.CheckBody, "plans/save": plans.SaveBody},
    **{"pair": door.PairBody, "enter": door.EnterBody},
    **{"cooks/import": bring.BringBody, "plans/start": plans.StartBody, "plans/end": plans.EndBody},
    **{"trials/do": trials.DeedBody},
}


def sections() -> dict[tuple[str, str], str]:
    return {(method, path): text for method, path, text in SECTION.findall(PAGE.read_text(encoding="utf-8"))}


def example(method: str, path: str) -> Any:
    found = EXAMPLE.search(sections()[(method, path)])
    return json.loads(found[1]) if found else None


def test_every_route_has_its_section_and_no_section_is_of_the_past() -> None:
    routes = {
        (method, re.sub(r":\w+}", "}", route.path))
        for route in [*ROUTES, *door.ROUTES]
        for method in (route.methods or ()) - {"HEAD"}
    }
    assert set(sections()) == routes | {("GET", "/help")}  # a folder of files, not a route


READS = [path for method, path in sections() if method == "GET" and example("GET", path)]


@pytest.mark.parametrize("path", READS)
def test_a_reads_example_has_the_keys_that_are_served(shared: Kitchen, path: str) -> None:
    shown = example("GET", path)
    served = shared.http.get(path.replace("{cook_id}", str(RUNNING)).replace("{name}", "hold")).json()
    if path.endswith("/tuning") and "error" in served:
        return  # a quick computer has found by then that this cook teaches nothing
    assert set(shown) == set(served) - {"forecasts"}
    for key, value in shown.items():
        if isinstance(value, list) and value and isinstance(value[0], dict) and served[key]:
            assert set(value[0]) <= set(served[key][0]), key
        if isinstance(value, dict) and value and isinstance(served[key], dict):
            assert set(value) <= set(served[key]), key


@pytest.mark.parametrize("name", BODIES)
def test_an_acts_example_is_a_body_that_is_taken(name: str) -> None:
    shown = example("POST", f"/api/{name}")
    body = msgspec.convert(shown, BODIES[name])
    assert set(shown) == set(body.__struct_fields__)


def test_the_error_example_has_the_one_shape() -> None:
    first = EXAMPLE.search(PAGE.read_text(encoding="utf-8"))
    assert first is not None
    assert list(json.loads(first[1])["error"]) == ["what", "value", "right"]


def test_the_states_of_an_alarm_are_those_that_the_service_shows() -> None:
    said = re.search(r"An alarm's `state` is (.*?) \(", sections()[("GET", "/api/now")], re.DOTALL)
    assert said is not None
    assert set(re.findall(r"`(\w+)`", said[1])) == set(alarms.SHOWN)
    assert example("GET", "/api/now")["alarms"][0]["state"] in alarms.SHOWN


def test_every_command_and_every_kind_of_mark_is_named() -> None:
    text = sections()[("POST", "/api/command")]
    named = set(re.findall(r"^\| `(\w+)` ", text, re.MULTILINE))
    assert named == set(conductor.COMMANDS) | {"acknowledge", "snooze"}
    kinds = sections()[("POST", "/api/mark")].replace("\n", " ")
    listed = re.search(r"`kind`: ([\w, ]+)\.", kinds)
    assert listed is not None
    assert set(listed[1].split(", ")) == set(marks.WORDS) - set(marks.NOT_BY_HAND)
