"""The page over the real service: no cook, a cook that begins, readings that come in, the state as documented."""

from __future__ import annotations

from typing import Any

from emberdraft.daemon.plan import load_plan, parse_plan
from tests.web.real_host import Host
from tests.web.test_http_page import example
from tests.web.test_page import PHONE, SMALL, WIDER, Visit


def test_the_state_without_a_cook_has_every_documented_key(host: Host) -> None:
    served = host.http.get("/api/now").json()
    assert set(served) - {"forecasts"} == set(example("GET", "/api/now"))
    assert served["cook"] is None


def test_the_state_of_a_cook_has_the_documented_keys_all_through(host: Host) -> None:
    host.service.start_cook(load_plan("two_chops"))
    host.reading()
    served, shown = host.http.get("/api/now").json(), example("GET", "/api/now")
    for key in ("link", "cook", "number", "next"):
        assert set(served[key]) == set(shown[key]), key
    for key in ("ledger", "phases", "upcoming"):
        assert set(served[key][0]) == set(shown[key][0]), key


def test_a_refusal_of_the_service_is_a_409_in_its_words(host: Host) -> None:
    answer = host.http.post("/api/command", json={"name": "bank"})
    assert answer.status_code == 409
    assert "no cook is running" in answer.json()["error"]["what"]


def test_the_page_without_a_cook_says_so(host: Host, chromium: Any) -> None:
    host.reading()
    visit = Visit(chromium, host.server.url, PHONE, "light")
    page = visit.page
    page.goto(host.server.url)
    page.wait_for_selector("#sentence >> text=No cook is running")
    assert page.evaluate(WIDER) <= 0
    assert page.is_disabled(".phone >> text=Mark")
    visit.close()


def test_a_cook_is_lit_from_the_page(host: Host, chromium: Any) -> None:
    host.service.start_cook(load_plan("two_chops"))
    host.reading()
    visit = Visit(chromium, host.server.url, PHONE, "dark")
    page = visit.go()
    assert page.inner_text("#next h2") == "Light one side of the bed"
    page.click("#next button")
    assert "Charcoal makes carbon monoxide" in page.inner_text("dialog")
    assert page.evaluate(SMALL) == []
    page.click("dialog >> text=I am at the cooker")
    page.wait_for_selector(".strip .phase.now >> text=light")
    args = next(order[1] for order in host.orders.sent if order[0] == "mode")
    assert (args["mode"], args["phase"], args["at_cooker"]) == ("hold", "light", True)
    host.reading(mode="hold", phase="light", target_c=115.0, duty=1.0, why="full_air", pit_c=31.5)
    page.wait_for_selector("#value >> text=31.5")
    visit.close()


ROAST = """
version = 1
name = "roast"
[light]
target = "115C"
[slow]
target = "115C"
[[piece]]
name = "roast"
letter = "A"
probe = 0
animal = "pork"
pull = "63C"
final = "66C"
"""


def test_a_pull_typed_below_the_usdas_figure_is_called_so_before_it_is_set(host: Host, chromium: Any) -> None:
    host.service.start_cook(parse_plan(ROAST))
    host.reading()
    host.service.answer(host.service.now()["next"]["id"], True)
    host.reading(mode="hold", phase="light", target_c=115.0, duty=1.0, why="full_air", pit_c=31.5)
    visit = Visit(chromium, host.server.url, PHONE, "light")
    page = visit.go()
    page.click(".phone >> text=Target, phase")
    form = page.locator("dialog [data-letter=A]")
    assert "below" not in form.inner_text()
    form.locator("input").fill("57")
    assert "Below the 62.8\u00a0°C on leaving the heat" in form.locator(".caution").inner_text()
    page.click("dialog >> text=Set it")
    page.click("dialog >> text=Do it")
    page.wait_for_selector("#status-text >> text=below the 62.8")
    visit.close()
