"""The Plans page in a real browser: a plan is written, checked, saved, a cook begun with it and its record ended."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from emberdraft.daemon.plan import example_text, parse_plan
from tests.web.conftest import FINISHED, Kitchen
from tests.web.real_host import Host
from tests.web.test_page import DESK, PHONE, SMALL, WIDER, Visit


@pytest.fixture(params=[(DESK, "dark"), (PHONE, "light")], ids=["desk", "phone"])
def visit(request: pytest.FixtureRequest, chromium: Any, host: Host) -> Iterator[Visit]:
    made = Visit(chromium, host.server.url, *request.param)
    yield made
    made.close()


def _go(visit: Visit, path: str = "plans") -> Any:
    page = visit.go(path)
    page.wait_for_selector("body.ready")
    return page


def test_a_fault_is_told_and_its_line_selected_then_mended_and_saved(visit: Visit, host: Host) -> None:
    page = _go(visit, "plans?open=hold")
    text = page.input_value("#plan-text")
    assert text == example_text("hold")
    page.fill("#plan-text", text.replace('for = "3h"', 'for = "3"'))
    page.click("text=Check")
    page.wait_for_selector(".result.wrong >> text=[slow] for")
    assert "3h" not in page.inner_text(".result")
    selected = page.evaluate(
        "(t => t.value.slice(t.selectionStart, t.selectionEnd))(document.querySelector('textarea'))"
    )
    assert selected == 'for = "3"'
    page.reload()
    assert 'for = "3"' in page.input_value("#plan-text"), "what was written outlives a reload"
    page.fill("#plan-text", text.replace('for = "3h"', 'for = "4h"'))
    page.click("text=Check")
    page.wait_for_selector(".result:not(.wrong) >> text=Nothing is wrong")
    page.click("text=Save as a file")
    assert page.evaluate(SMALL) == []
    page.fill("dialog input", "four_hours")
    page.click("dialog button.main")
    page.wait_for_selector(".result >> text=Saved as four_hours")
    assert host.shelf.text("four_hours") == text.replace('for = "3h"', 'for = "4h"')
    page.click("text=Open four_hours")
    page.wait_for_selector("#plan-name >> text=four_hours")


def test_a_cook_is_begun_after_one_question_and_its_record_ended(visit: Visit, host: Host) -> None:
    page = _go(visit, "plans?open=two_chops")
    page.click("text=Start a cook with it")
    assert "No air is given" in page.inner_text("dialog")
    page.click("dialog >> text=Begin the record")
    page.wait_for_selector("#sentence")
    host.reading()
    page.wait_for_selector("#next h2 >> text=Light one side of the bed")
    page = _go(visit)
    assert "is running" in page.inner_text("#running")
    assert page.input_value("#plan-text") == example_text("two_chops")
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    page.click("text=Start a cook with it")
    page.wait_for_selector(".result.wrong >> text=still running")
    page.click("#running >> text=End the record")
    page.click("dialog button.main")
    page.wait_for_selector("#running", state="hidden")
    assert host.service.now()["cook"] is None


def test_without_a_cook_the_page_is_whole(visit: Visit) -> None:
    from axe_playwright_python.sync_playwright import Axe

    page = _go(visit)
    assert page.is_hidden("#running")
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_again_is_opened_from_the_cook_it_was_made_of(size: tuple[int, int], chromium: Any, shared: Kitchen) -> None:
    from axe_playwright_python.sync_playwright import Axe

    visit = Visit(chromium, shared.url, size, "light")
    page = visit.go(f"cooks/{FINISHED}")
    page.click("#exports >> text=Cook it again")
    page.wait_for_selector("#plan-name >> text=Two chops: tempered and cold, again")
    assert page.input_value("#plan-text").startswith("# The plan of cook")
    assert page.locator("#changes li").count() > 3
    assert page.locator("#changes input:checked").count() == 0
    line = page.inner_text("#changes li >> nth=0").strip()
    page.click("#changes li >> nth=0")
    page.wait_for_function("line => document.querySelector('#plan-text').value.includes(line)",
                           arg=f"# Taken from what was done:\n#   {line}")  # fmt: skip
    assert page.locator("#changes input:checked").count() == 1
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    assert Axe().run(page).violations_count == 0
    page.click("text=Check")
    page.wait_for_selector(".result:not(.wrong) >> text=Nothing is wrong")
    visit.close()


def test_a_board_that_was_never_heard_has_no_age(visit: Visit, host: Host) -> None:
    host.service.start_cook(parse_plan(example_text("hold")))
    for path in ("", "health"):
        visit.page.goto(f"{visit.own}/{path}")
        visit.page.wait_for_selector("body.ready")
        if path == "health":
            visit.page.click("summary >> text=Link")
        visit.page.wait_for_selector("text=no board has been heard yet")
        said = visit.page.inner_text("body")
        assert "Infinity" not in said and "NaN" not in said and "0 s ago" not in said.replace("\u00a0", " ")
        assert "no board has been heard yet" in said
