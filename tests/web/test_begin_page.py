"""From an empty Now to a running cook on a phone, without a line of TOML; the shelf; the file beside the form."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from emberdraft.daemon.plan import example_names, parse_plan
from tests.waiting import until
from tests.web.real_host import Host
from tests.web.test_page import DESK, PHONE, SMALL, WIDER, Visit

PHONES = {"phone-F": (PHONE, "light", "F"), "phone-C": (PHONE, "dark", "C")}


@pytest.fixture
def visit(request: pytest.FixtureRequest, chromium: Any, host: Host) -> Iterator[Visit]:
    made = Visit(chromium, host.server.url, *PHONES[request.param])
    yield made
    made.close()


def whole(page: Any) -> None:
    """No accessibility violation (axe-core), nothing under 44 px, no sideways scroll."""
    from axe_playwright_python.sync_playwright import Axe

    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


def field(page: Any, word: str) -> Any:
    return page.locator(f"#form label:has(span:text-matches('^{word}')) >> input, select").first


@pytest.mark.parametrize("visit", PHONES, indirect=True)
def test_from_an_empty_now_to_a_running_cook_without_a_line_of_toml(visit: Visit, host: Host) -> None:
    host.reading()
    page = visit.page
    page.goto(visit.own)
    page.wait_for_selector("#begin >> text=Thick cuts")
    whole(page)
    page.click("#begin >> text=Thick cuts")
    page.wait_for_selector("body.ready")
    in_f = page.evaluate("document.documentElement.dataset.unit") == "F"
    field(page, "or its thickness").fill("1.6" if in_f else "4")
    field(page, "How many").fill("3")
    field(page, "Done at").fill("150" if in_f else "66")
    page.wait_for_selector("#evening >> text=A, B, C, pork chop: pull at")
    field(page, "We eat at").fill("19:00")
    page.wait_for_selector(".promise >> text=dinner is at 19:00")
    assert "lb" in page.inner_text("#evening") if in_f else "kg" in page.inner_text("#evening")
    assert ("°C" in page.inner_text("#main")) != in_f
    whole(page)
    page.click("text=Start this cook")
    page.click("dialog >> text=Begin the record")
    page.wait_for_selector("#sentence")
    host.reading()
    page.wait_for_selector("#next h2 >> text=Light one side of the bed")
    assert page.is_hidden("#begin")
    plan = parse_plan(host.service.plan_text())
    assert len(plan.pieces) == 3 and plan.serve == "19:00" and not plan.invented
    assert plan.pieces[0].thickness_m == pytest.approx(0.0406 if in_f else 0.04, abs=1e-4)
    assert plan.pieces[0].final_c == pytest.approx(65.6 if in_f else 66.0, abs=0.05)


@pytest.mark.parametrize("visit", PHONES, indirect=True)
def test_what_is_below_and_what_is_missing_is_said_and_the_file_stays_whole(visit: Visit, host: Host) -> None:
    page = visit.go("begin?open=thick_steaks")
    page.wait_for_selector("body.ready")
    in_f = page.evaluate("document.documentElement.dataset.unit") == "F"
    field(page, "Done at").fill("126" if in_f else "52")
    page.wait_for_selector(".advice.caution >> text=This is below it")
    page.click("#file-title")
    before = page.input_value("#plan-text")
    assert "final" in before
    field(page, "or its thickness").fill("")
    page.wait_for_selector("#fault >> text=beef steak: no mass and no thickness")
    assert page.is_disabled("text=Start this cook")
    assert page.input_value("#plan-text") == before
    field(page, "Mass of one").fill("1.1" if in_f else "0.5")
    page.wait_for_selector("#fault", state="hidden")
    assert ('mass = "1.1lb"' if in_f else 'mass = "0.5kg"') in page.input_value("#plan-text")


@pytest.mark.parametrize("visit", ["phone-F"], indirect=True)
def test_what_is_written_in_the_file_is_taken_into_the_form_and_its_comments_stay(visit: Visit, host: Host) -> None:
    page = visit.go("begin?open=hold")
    page.wait_for_selector("body.ready")
    page.click("#file-title")
    text = page.input_value("#plan-text")
    page.fill("#plan-text", text.replace('for = "3h"', 'for = "5h" # mine'))
    until(lambda: field(page, "How long").input_value() == "5")
    field(page, "Name").fill("Five hours")
    until(lambda: "Five hours" in page.input_value("#plan-text"))
    assert "# mine" in page.input_value("#plan-text")
    page.click("text=Save as a file")
    page.fill("dialog input", "five")
    page.click("dialog button.main")
    page.wait_for_selector("#done >> text=Saved as five")
    assert "# mine" in host.shelf.text("five")
    page.goto(f"{visit.own}/shelf")
    page.wait_for_selector("#plans >> text=Five hours")
    assert page.locator("#plans li:visible").count() == len(example_names()) + 1
    page.fill("#find", "beef brisket")
    assert page.locator("#plans li:visible").count() == 1
    whole(page)
    page.click("#plans li:visible a")
    page.wait_for_selector("#of >> text=A beef brisket")


def test_the_form_keeps_the_rules_at_a_desk(chromium: Any, host: Host) -> None:
    visit = Visit(chromium, host.server.url, DESK, "dark")
    page = visit.go("begin?open=shoulder")
    page.wait_for_selector("body.ready")
    whole(page)
    page.click("text=Another food")
    page.wait_for_selector("text=Food 2")
    page.wait_for_selector("#fault >> text=pork chop: no mass and no thickness")
    whole(page)
    visit.close()
