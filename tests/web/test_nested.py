"""JSON that is nested without end is refused in one line, on every route that takes a body."""

from __future__ import annotations

import json
from typing import Any

import httpx
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from emberdraft.daemon.plan import load_plan
from emberdraft.review import chunks_of
from emberdraft.store.records import READING_COLUMNS
from emberdraft.web.app import ROUTES
from tests.web.real_host import Host

POSTS = sorted(route.path.replace("{cook_id:row}", "1") for route in ROUTES if "POST" in (route.methods or ()))
OPEN, SHUT = {"list": "[", "table": '{"a":'}, {"list": "]", "table": "}"}


def nest(depth: int, kind: str, inner: str = "1") -> str:
    return OPEN[kind] * depth + inner + SHUT[kind] * depth


BODIES = {
    "bare": lambda nested: nested,
    "args": lambda nested: f'{{"name": "target", "args": {{"target_c": {nested}}}}}',
    "deed": lambda nested: f'{{"deed": "look", "args": {{"words": {nested}}}}}',
    "gains": lambda nested: f'{{"gains": {nested}}}',
    "json": lambda nested: json.dumps({"file": "a.json", "text": nested}),
    "cook": lambda nested: json.dumps({"file": "a.json", "text": f'{{"cook": {nested}}}'}),
    "plan": lambda nested: json.dumps({"text": f"version = {nested}", "name": "x"}),
}


def said(answer: httpx.Response) -> str:
    assert answer.status_code in (400, 404, 409, 413, 415, 422) or answer.status_code == 200, answer.text[:200]
    return "" if answer.status_code == 200 else str(answer.json()["error"]["what"])


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    path=st.sampled_from(POSTS), depth=st.sampled_from([1, 15, 40, 300, 900, 990, 1500, 3000]),
    kind=st.sampled_from(sorted(OPEN)), body=st.sampled_from(sorted(BODIES)),
)  # fmt: skip
@example(path="/api/command", depth=900, kind="list", body="args")
@example(path="/api/command", depth=3000, kind="list", body="args")
@example(path="/api/cooks/import", depth=3000, kind="list", body="json")
@example(path="/api/trials/do", depth=900, kind="table", body="deed")
def test_no_depth_breaks_a_route(host: Host, path: str, depth: int, kind: str, body: str) -> None:
    sent = BODIES[body](nest(depth, kind))
    answer = host.http.post(path, content=sent, headers={"content-type": "application/json"})
    assert "\n" not in said(answer)
    if answer.status_code == 200:
        assert depth < 40 or body == "plan", "what is nested so is never taken"


@pytest.mark.parametrize("depth", [100, 900, 100_000])
def test_a_nested_value_in_an_import_is_one_line(host: Host, depth: int) -> None:
    for text in (nest(depth, "list"), f'{{"cook": {nest(depth, "table")}}}', whole(host, nest(depth, "list"))):
        answer = host.http.post("/api/cooks/import", json={"file": "a.json", "text": text})
        assert answer.status_code in (400, 409), answer.text[:200]
        assert "\n" not in said(answer)
        assert host.store.cooks() == [] or len(host.store.cooks()) == 1


def whole(host: Host, nested: str) -> str:
    """A cook that is right but for the arguments of one order."""
    if not host.store.cooks():
        host.service.start_cook(load_plan("hold"))
        host.reading()
        host.service.end_cook(True)
    made: dict[str, Any] = json.loads("".join(chunks_of(host.store, 1, "json")))
    made["cook"]["cooker"] = "shed"
    place = READING_COLUMNS.index("cooker")
    made["readings"] = [[*row[:place], "shed", *row[place + 1 :]] for row in made["readings"]]
    made["orders"] = [{"n": 1, "boot": "b1", "at_s": made["cook"]["start_s"], "name": "gains", "args": "HERE"}]
    return json.dumps(made).replace('"HERE"', nested)
