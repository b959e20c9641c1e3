"""A tablet on the kitchen's wall: read from 4 m, what is next, how long until then, several cookers, kept awake."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pytest

from tests.web.boxes import CUT, LAID_OVER
from tests.web.conftest import Kitchen
from tests.web.test_page import Visit

WALL = (1280, 800)  # CSS px of a common 10-inch tablet; its screen is 217 mm wide (149 px an inch)
MM_PER_PX = 217.0 / WALL[0]
READ_FROM_M = 4.0
# ISO 9241-303, 5.5.4: characters of 20 to 22 minutes of arc are preferred, 16 are the least. From memory.
LEAST_ARC_MIN = 20.0
DIGIT_SHARE = 0.70  # height of a digit over the font's size; DejaVu Sans has 0.73, Inter 0.73, Roboto 0.71


@pytest.fixture
def wall(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    visit = Visit(chromium, kitchen.url, WALL, "dark")
    visit.page.goto(f"{kitchen.url}kitchen")
    visit.page.wait_for_selector("body.ready")
    yield visit
    visit.close()


def test_the_number_is_read_from_4_m_and_the_next_deed_stands_below_it(wall: Visit, kitchen: Kitchen) -> None:
    page = wall.page
    font_px = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.value')).fontSize)")
    arc_min = math.degrees(math.atan(DIGIT_SHARE * font_px * MM_PER_PX / 1000.0 / READ_FROM_M)) * 60.0
    assert arc_min >= LEAST_ARC_MIN
    assert page.inner_text(".deed") == "Pull the tempered chop (A)"
    assert page.inner_text(".when").startswith("Now")
    assert page.evaluate("document.documentElement.scrollHeight") == WALL[1]
    kitchen.provoke("pause")
    page.wait_for_selector(".wall.stopped .wrong >> text=The pit probe gives no value")
    assert page.evaluate(CUT) == page.evaluate(LAID_OVER) == []


def test_what_is_left_until_the_next_deed_counts_down(wall: Visit, kitchen: Kitchen) -> None:
    page = wall.page
    kitchen.service.answer(kitchen.service.prompts()[0].id, at_cooker=True)
    kitchen.pass_s(2)
    page.wait_for_selector(".wall:not(.asks)")
    coming = next((row for row in kitchen.service.now()["upcoming"] if row.get("deed") is not False), None)
    assert coming is not None
    left_min = (coming["at_s"] - kitchen.clock.at_s) // 60
    assert any(
        f"In {minutes:.0f}\u00a0min" in page.inner_text(".when") for minutes in (left_min, left_min - 1, left_min + 1)
    )


def test_the_page_says_whether_it_keeps_the_screen_on(wall: Visit) -> None:
    wall.page.wait_for_function("document.querySelector('#awake').textContent !== ''")
    assert "screen" in wall.page.inner_text("#awake")
