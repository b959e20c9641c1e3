"""What the reader of sentences takes for the page's words (tests/daemon/shown.py) is what a browser shows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.daemon.series import Series
from tests.daemon.shown import as_sent, lines
from tests.daemon.truth import Look, found
from tests.web.conftest import Kitchen
from tests.web.test_page import DESK, Visit

PLACES = ("sentence", "detail", "number", "alarm", "asked", "beside", "caution", "ledger")


@pytest.fixture
def desk(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    visit = Visit(chromium, kitchen.url, DESK, "light", "F")
    yield visit
    visit.close()


def test_the_lines_that_are_read_are_those_of_a_browser(desk: Visit, kitchen: Kitchen) -> None:
    """The pull of a chop, then a trip over it; in degF, and after a press in degC."""
    page = desk.go()
    for unit in ("f", "c"):
        both(page, kitchen, unit)
        page.click("#unit")
    kitchen.provoke("trip")
    page.wait_for_selector("#alarms .alarm.trip")
    both(page, kitchen, "f")


def both(page: Any, kitchen: Kitchen, unit: str) -> None:
    """Each line stands on the page; and the lines say nothing false beside the last row."""
    state = as_sent(kitchen.service.now())
    first = state["asked"][0]["id"]
    said = [line for line in lines(state, unit) if line.place.partition(" ")[0] in PLACES]
    shown = " ".join(page.inner_text("body").replace("\u00a0", " ").replace("\u2212", "-").split())
    for line in said:
        one_of_many = line.place.startswith(("asked", "beside")) and not line.place.endswith(first)
        if not one_of_many and not line.place.startswith("alarm"):
            assert line.text in shown or line.text.removesuffix(f" °{unit.upper()}") in shown, line
    assert all(
        any(line.text in shown for line in said if line.place == f"alarm {row['id']}") for row in state["alarms"]
    )
    series = Series()
    series.add(kitchen.service.live.row or {})
    assert found(Look(said, state, series, unit)) == []
