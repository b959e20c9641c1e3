"""What is one tap deeper on Now, and the same on a cook's own page."""

from __future__ import annotations

from typing import Any

import pytest

from tests.web.conftest import FINISHED, RUNNING, Kitchen


@pytest.fixture
def page(chromium: Any, kitchen: Kitchen) -> Any:
    opened = chromium.new_page(viewport={"width": 1440, "height": 900})
    yield opened
    opened.close()


def test_safe_food_is_shut_until_asked_and_then_says_its_source(kitchen: Kitchen, page: Any) -> None:
    page.goto(kitchen.url)
    part = page.locator('details[data-part="safety"]')
    part.wait_for()
    assert part.get_attribute("open") is None
    part.locator("summary").press("Enter")
    part.get_by_text("USDA advises").first.wait_for()
    assert "local food codes come first" in part.inner_text()


def test_a_cooks_page_has_the_tables_words_below_its_figures(kitchen: Kitchen, page: Any) -> None:
    page.goto(f"{kitchen.url}cooks/{FINISHED}")
    page.get_by_text("USDA advises").first.wait_for()
    assert "not a verdict" in page.locator("#figures").inner_text()
    # The morning after: the demonstration's plan reckons with other times than its cook took.
    assert page.locator("#figures h2 >> text=Planned and done").count() == 1
    assert "[light] expect: planned" in page.locator("#figures").inner_text()


def test_the_rows_are_served_for_a_cook_that_goes_on(kitchen: Kitchen) -> None:
    told = kitchen.http.get(f"/api/cooks/{RUNNING}/safety").json()
    assert {piece["letter"] for piece in told["pieces"]} == {"A", "B"}
    assert all(piece["safety"]["usda_c"] > 60.0 for piece in told["pieces"])
    assert kitchen.http.get("/api/cooks/99/safety").status_code == 404
