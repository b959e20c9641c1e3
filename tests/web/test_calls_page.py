"""Calls in a real browser and over real HTTP: the form, the phone's path from a notice to the deed, before bed."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from typing import Any

import pytest

from emberdraft.daemon.plan import load_plan
from emberdraft.web import calls
from tests.receiver import Hook, until
from tests.web.real_host import Host
from tests.web.test_page import DESK, PHONE, SMALL, WIDER, Visit

KEY = "canary-4711-key"


def set_up(host: Host, hook: Hook) -> None:
    """The form, filled in by HTTP: Apprise for the first way, a webhook for the second."""
    body = {"apprise": f"json://{hook.place}/first-{KEY}", "second_webhook": f"http://{hook.place}/second-{KEY}"}
    answer = host.http.post("/api/notices/settings", json=body)
    assert answer.status_code == 200, answer.text


@pytest.fixture
def phone(chromium: Any, host: Host) -> Iterator[Visit]:
    visit = Visit(chromium, host.server.url, PHONE, "light")
    yield visit
    visit.close()


@pytest.fixture
def desk(chromium: Any, host: Host) -> Iterator[Visit]:
    visit = Visit(chromium, host.server.url, DESK, "light")
    yield visit
    visit.close()


def pull_is_asked(host: Host) -> None:
    """A cook whose first piece is at its pull temperature, called for."""
    host.service.start_cook(load_plan("two_chops"))
    host.reading()
    conductor = host.service.cook.conductor
    conductor.stage.ask("pull", ["A"], 57.2)
    host.reading(core_c=[57.2, 18.0])
    host.service.tick()


def test_what_the_form_sets_is_kept_for_its_owner_alone_and_never_shown(host: Host, hook: Hook) -> None:
    set_up(host, hook)
    kept = host.service.notices._path
    assert stat.S_IMODE(os.stat(kept).st_mode) == 0o600
    shown = host.http.get("/api/calls").text + host.http.get("/calls").text + host.http.get("/api/health").text
    assert KEY not in shown
    assert host.http.get("/api/calls").json()["notices"]["ways"]["apprise"] == "1: json"
    host.http.post("/api/notices/settings", json={"apprise": ""})
    assert [channel.name for channel in host.service.notifier.channels] == ["webhook"]


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"webhook": f"ftp://example.org/{KEY}"}, "webhook: not an address; one such as https://example.org/hook"),
        (
            {"apprise": f"json://localhost\nnonsense://{KEY}"},
            "Apprise, line 2: Apprise knows no such address (nonsense)",
        ),
        ({"second_webhook": KEY}, "second way, webhook: not an address"),
        ({"page": "my phone"}, "page: not an address; one such as http://192.168.1.20:8018/"),
    ],
)
def test_a_wrong_address_is_one_clear_line_without_it_and_changes_nothing(host: Host, hook: Hook, body, said) -> None:
    set_up(host, hook)
    answer = host.http.post("/api/notices/settings", json=body)
    assert answer.status_code == 409
    assert said in answer.json()["error"]["what"]
    assert KEY not in answer.text
    assert host.http.get("/api/calls").json()["notices"]["ways"]["apprise"] == "1: json"


def test_the_form_is_refused_from_elsewhere(host: Host, monkeypatch) -> None:
    monkeypatch.setattr(calls, "at_home", lambda _scope: False)
    answer = host.http.post("/api/notices/settings", json={"webhook": "http://127.0.0.1/"})
    assert answer.status_code == 403
    assert not host.service.notices._path.exists()


def test_what_was_set_holds_after_a_restart(host: Host, hook: Hook) -> None:
    set_up(host, hook)
    desk = host.service.notices
    again = type(desk)(type(host.service.notifier)(), host.store, host.service.clock.now_s, desk._path)
    assert [channel.name for channel in again.notifier.channels] == ["apprise", "webhook"]


def test_from_the_raise_of_an_alarm_to_the_request_at_a_real_receiver(host: Host, hook: Hook) -> None:
    set_up(host, hook)
    host.service.start_cook(load_plan("hold"))
    host.reading()
    began_s = host.service.clock.now_s()
    host.service.on_alert("yard", "runaway", {"kind": "trip", "value": 35.0, "limit": 25.0})
    host.service.tick()
    until(lambda: hook.got)
    assert host.service.clock.now_s() - began_s < 10.0
    assert hook.got[0][0] == f"/first-{KEY}"
    assert hook.got[0][2]["type"] == "failure"


def test_a_phone_is_reached_once_its_test_notice_was_opened_there(phone: Visit, host: Host, hook: Hook) -> None:
    assert host.service.notices.check() == (False, host.service.notices.state()["text"])
    set_up(host, hook)
    page = phone.go("calls")
    page.wait_for_selector("#reached.wrong >> text=no phone has confirmed")
    page.get_by_role("button", name="Send a test notice").click()
    page.wait_for_selector("#test-said >> text=Test notice sent by apprise, webhook")
    link = hook.got[0][2]["message"].rpartition("\n")[2]
    assert link.startswith(f"{host.server.url}reached#")
    assert host.http.get(link.partition("#")[0]).status_code == 200  # what looks at links in messages does: no more
    assert not host.service.notices.check()[0]
    page.goto(link)
    page.wait_for_selector("#said >> text=This phone is reached: confirmed")
    assert host.service.notices.check()[0]
    assert {c["name"]: c["ok"] for c in host.service.health()["checks"]}["notices"]
    page.goto("about:blank")
    phone.wrong.clear()
    page.goto(link)
    page.wait_for_selector("#said.wrong >> text=this link is wrong, over, or used")
    phone.wrong = [line for line in phone.wrong if "409" not in line]


def test_a_receiver_that_answers_500_is_shown_on_health_without_its_address(host: Host, hook: Hook) -> None:
    set_up(host, hook)
    hook.status = 500
    host.service.start_cook(load_plan("hold"))
    host.reading()
    host.service.on_alert("yard", "runaway", {"kind": "trip", "value": 35.0, "limit": 25.0})
    host.service.tick()
    until(lambda: host.service.notifier.failed > 0)
    shown = next(check for check in host.service.health()["checks"] if check["name"] == "notices")
    assert not shown["ok"] and "tries failed" in shown["text"]
    assert KEY not in shown["text"]


def test_a_link_of_a_test_that_is_over_or_made_up_confirms_nothing(host: Host, hook: Hook) -> None:
    set_up(host, hook)
    host.http.post("/api/notices/test", json={})
    answer = host.http.post("/api/notices/reached", json={"token": "made up", "device": ""})
    assert (answer.status_code, host.service.notices.check()[0]) == (409, False)


def test_the_notice_leads_the_phone_to_the_prompt_and_its_deed(phone: Visit, host: Host, hook: Hook) -> None:
    set_up(host, hook)
    pull_is_asked(host)
    until(lambda: hook.got)
    message = hook.got[0][2]
    assert "Pull the tempered chop (A)" in message["title"] + message["message"]
    link = message["message"].rpartition("\n")[2]
    page = phone.page
    page.goto(link)
    page.wait_for_selector("#next h2 >> text=Pull the tempered chop (A)")
    page.get_by_role("button", name="It is out and the lid is shut").click()
    page.wait_for_selector("#status-text >> text=It is out and the lid is shut: noted")
    page.goto(link)
    page.wait_for_selector("#status-text >> text=What the link asks for has been answered already")
    assert page.url.endswith("/cookers/yard")


def test_a_link_to_what_is_not_first_opens_the_page_at_it(phone: Visit, host: Host) -> None:
    pull_is_asked(host)
    asked = host.service.now()["asked"]
    assert len(asked) == 2
    page = phone.page
    page.goto(f"{host.server.url}cookers/yard?asked={asked[1]['id']}")
    page.wait_for_selector(f"#next h2 >> text={asked[1]['title']}")


def test_of_two_phones_one_answer_counts_and_the_other_is_told(chromium: Any, host: Host) -> None:
    pull_is_asked(host)
    phones = [Visit(chromium, host.server.url, PHONE, "light") for _ in range(2)]
    asked = host.service.now()["next"]["id"]
    for each in phones:
        each.page.goto(f"{host.server.url}cookers/yard?asked={asked}")
        each.page.wait_for_selector("#next h2 >> text=Pull the tempered chop (A)")
    phones[1].page.route("**/api/stream*", lambda route: route.abort())  # it has not heard of it yet
    phones[0].page.get_by_role("button", name="It is out and the lid is shut").click()
    phones[0].page.wait_for_selector("#status-text >> text=noted")
    answer = host.http.post("/api/answer", json={"prompt_id": asked})
    assert answer.status_code == 409
    assert "It is out and the lid is shut: answered already at" in answer.json()["error"]["what"]
    pulled = [mark for mark in host.service.now()["marks"] if mark["kind"] == "pulled"]
    assert len(pulled) == 1
    for each in phones:
        each.context.close()


def test_the_form_in_a_browser(desk: Visit, host: Host, hook: Hook) -> None:
    page = desk.go("calls")
    page.wait_for_selector("#reached.wrong >> text=phone calls are OFF")
    page.fill("textarea[name=apprise]", f"json://{hook.place}/{KEY}")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_selector(".form .result >> text=Kept. Send a test")
    page.wait_for_selector("text=Take away what is kept (1: json)")
    assert KEY not in page.content()


@pytest.mark.parametrize("size", [DESK, PHONE, (320, 640)], ids=["desk", "phone", "narrow"])
def test_before_bed_keeps_the_rules_of_every_screen(chromium: Any, host: Host, size: Any) -> None:
    from axe_playwright_python.sync_playwright import Axe

    pull_is_asked(host)
    visit = Visit(chromium, host.server.url, size, "dark")
    page = visit.go("calls")
    page.wait_for_selector("text=What may wake you at any time")
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    visit.close()


def test_under_a_trip_the_page_shows_the_remedy_and_no_way_to_come(phone: Visit, host: Host) -> None:
    host.service.start_cook(load_plan("two_chops"))
    host.reading(mode="hold", phase="light", why="tripped", target_c=115.0, pit_c=351.0)
    host.service.on_alert("yard", "pit_over_limit", {"kind": "trip", "value": 351.0, "limit": 350.0})
    page = phone.page
    page.goto(host.server.url)
    page.wait_for_selector("#next h2 >> text=Shut both vents, do not open the lid")
    assert "wanted" not in page.inner_text("#of")
    assert page.inner_text("#upcoming") == ""
    page.locator("#next").get_by_role("button", name="I have seen it").click()
    page.wait_for_selector("#status-text >> text=Acknowledged")
    page.wait_for_selector("#next:not(:has(button)) h2 >> text=Shut both vents")
