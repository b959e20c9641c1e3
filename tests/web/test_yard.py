"""Several cookers on one host: one glance for all, each request to the right one, one stream for every tab."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest

from emberdraft.clock import Clock
from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.daemon.service import Service
from emberdraft.store.store import Store
from emberdraft.web.server import PageServer
from emberdraft.web.yard import create_yard
from tests.waiting import until
from tests.web.real_host import Orders, plain_http
from tests.web.test_page import DESK, NARROW, PHONE, SHIFT, SMALL, WIDER, Visit

NAMES = ("garden", "shed", "yard")


@dataclass
class Yard:
    services: dict[str, Service]
    orders: dict[str, Orders]
    server: PageServer
    http: httpx.Client
    store: Store

    def reading(self, cooker: str, seq: int, **values: Any) -> None:
        at_s = self.services[cooker].clock.now_s()
        row = {
            **{"at_s": at_s, "arrived_s": at_s, "boot": f"b-{cooker}", "seq": seq, "ms": seq * 1000, "late": False},
            **{"mode": "hold", "phase": "slow", "pit_c": 120.0, "pit_fault": "", "stone_c": 125.0, "stone_fault": ""},
            **{"core_c": [5.0, 18.0], "core_fault": ["", ""], "board_c": 21.0, "target_c": 121.0, "ref_c": 121.0},
            **{"duty": 0.3, "drive": 0.3, "opening": 1.0, "lid_open": False, "p": 0.0, "i": 0.3, "d": 0.0},
            **{"ff": 0.0, "fire": 0.3, "why": "steady", **values},
        }
        self.store.add_records(cooker, f"b-{cooker}", [row])
        self.services[cooker].on_records(cooker, [row])

    def sent(self) -> dict[str, list[str]]:
        return {name: [order for order, _ in orders.sent] for name, orders in self.orders.items()}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Yard]:
    store = Store(tmp_path / "cooks.sqlite")
    orders = {name: Orders() for name in NAMES}
    services = {name: Service(store, Clock(), name, orders[name]) for name in NAMES}
    server = PageServer(create_yard(list(services.values()), store, shelf=PlanShelf(tmp_path / "plans"))).start()
    with plain_http(server.url) as http:
        made = Yard(services, orders, server, http, store)
        for k, name in enumerate(NAMES):
            services[name].start_cook(load_plan("hold"))
            made.reading(name, 0, pit_c=100.0 + k)
        yield made
    server.stop()
    store.close()


def test_each_question_is_answered_by_the_cooker_it_names(yard: Yard) -> None:
    for name in NAMES:
        assert yard.http.get(f"/api/now?cooker={name}").json()["cooker"] == name
        assert f'data-cooker="{name}"' in yard.http.get(f"/cookers/{name}").text
    assert yard.http.get("/api/now").json()["cooker"] == "garden"


@pytest.mark.parametrize("path", ["/api/now?cooker=attic", "/cookers/attic", "/plans?cooker=attic"])
def test_a_cooker_that_is_not_there_is_refused_and_never_taken_for_another(yard: Yard, path: str) -> None:
    answer = yard.http.get(path)
    assert answer.status_code == 404
    assert answer.json()["error"]["right"] == ", ".join(NAMES)


def test_a_command_goes_to_its_cooker_and_to_no_other(yard: Yard) -> None:
    before = yard.sent()
    body = {"name": "lid", "args": {"open": True}}
    assert yard.http.post("/api/command?cooker=shed", json=body).status_code == 200
    after = yard.sent()
    assert after["shed"] == [*before["shed"], "lid"]
    assert {name: after[name] for name in ("garden", "yard")} == {name: before[name] for name in ("garden", "yard")}
    assert yard.http.post("/api/command?cooker=attic", json=body).status_code == 404
    assert yard.sent() == after


def test_a_mark_is_kept_with_the_cook_of_its_cooker(yard: Yard) -> None:
    yard.http.post("/api/mark?cooker=yard", json={"kind": "note", "text": "smoke"})
    cook = yard.store.open_cook("yard")
    assert cook is not None
    assert [mark["text"] for mark in yard.store.marks(cook["id"])] == ["smoke"]
    assert all(not yard.store.marks(other["id"]) for other in yard.store.cooks() if other["cooker"] != "yard")


def test_gains_learnt_from_a_cook_go_to_the_cooker_of_that_cook(yard: Yard) -> None:
    for at_s, kp in ((1.0, 0.05), (2.0, 0.035)):
        yard.store.add_tuning("shed", at_s, {"kp": kp, "ti_s": 600.0, "td_s": 60.0, "b": 1.0})
    cook = yard.store.open_cook("shed")
    assert cook is not None
    assert yard.http.post(f"/api/cooks/{cook['id']}/gains/back", json={}).status_code == 200
    assert "gains" in yard.sent()["shed"]
    assert "gains" not in yard.sent()["garden"]


def test_one_stream_carries_all_cookers(yard: Yard) -> None:
    heard: dict[str, str] = {}
    with yard.http.stream("GET", "/api/streams") as answer:
        name = ""
        for line in answer.iter_lines():
            if line.startswith("event: "):
                name = line[7:]
            elif line.startswith("data: ") and name == "now":
                news = json.loads(line[6:])
                heard.setdefault(news["cooker"], news["data"].get("cooker"))  # later ones tell only what changed
            if len(heard) == len(NAMES):
                break
    assert heard == {name: name for name in NAMES}


@pytest.mark.parametrize(("size", "theme"), [(DESK, "dark"), (PHONE, "light")], ids=["desk", "phone"])
def test_one_glance_says_who_needs_a_person(yard: Yard, chromium: Any, size: tuple[int, int], theme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    visit = Visit(chromium, yard.server.url, size, theme)
    page = visit.page
    page.goto(yard.server.url)
    page.wait_for_selector(".one canvas >> nth=2", state="attached")
    assert page.inner_text("#told").startswith("3 of 3 need you")  # each asks to light its fire
    assert page.locator(".one h2 a").all_inner_texts() == list(NAMES)
    yard.reading("shed", 1, pit_c=87.6)
    page.wait_for_selector(".one >> nth=1 >> text=87.6")
    assert page.evaluate(SHIFT) < 0.02
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    page.click(".one h2 a >> text=shed")
    page.wait_for_selector("#value >> text=87.6")
    page.click(".phone >> text=Opening the lid" if size == PHONE else ".desk >> text=Opening the lid")
    page.wait_for_selector("#status-text >> text=Opening the lid")
    assert "lid" in yard.sent()["shed"]
    assert "lid" not in yard.sent()["garden"]
    visit.close()


def test_tabs_of_several_cookers_share_one_stream(yard: Yard, chromium: Any) -> None:
    visit = Visit(chromium, yard.server.url, NARROW, "light")
    first = visit.page
    hubs = [app.state.hub for app in yard.server._app.state.apps.values()]
    first.goto(yard.server.url)
    until(lambda: [hub.watchers for hub in hubs] == [1, 1, 1])
    second = visit.context.new_page()
    second.goto(f"{yard.server.url}cookers/shed")
    yard.reading("shed", 1, pit_c=64.3)
    second.wait_for_selector("#value >> text=64.3")
    assert second.evaluate(WIDER) <= 0
    assert [hub.watchers for hub in hubs] == [1, 1, 1]
    first.close()
    yard.reading("shed", 2, pit_c=65.4)
    second.wait_for_selector("#value >> text=65.4")
    until(lambda: [hub.watchers for hub in hubs] == [1, 1, 1])
    second.goto("about:blank")
    visit.close()
