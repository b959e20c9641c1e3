"""What the page does when nothing comes, when the host comes back, with two tabs, and while numbers change."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.web.conftest import Kitchen, _close, _kitchen
from tests.web.test_page import DESK, PHONE, SHIFT, Visit


@pytest.fixture
def desk(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    visit = Visit(chromium, kitchen.url, DESK, "light")
    yield visit
    visit.close()


@pytest.fixture
def phone(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    visit = Visit(chromium, kitchen.url, PHONE, "dark")
    yield visit
    visit.close()


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_nothing_moves_while_numbers_change(chromium: Any, cooked: Path, tmp_path: Path, size: tuple[int, int]) -> None:
    """Two minutes of a cook at sixty times: the numbers change, and the layout stays (CLS, web-vitals)."""
    kitchen = _kitchen(Path(shutil.copy(cooked, tmp_path)), speed=60.0)
    visit = Visit(chromium, kitchen.url, size, "light")
    page = visit.go()
    before = page.inner_text("#value"), page.inner_text("#clock")
    page.wait_for_timeout(2_000)
    assert page.inner_text("#clock") != before[1]
    assert page.evaluate(SHIFT) < 0.005
    visit.close()
    _close(kitchen)


def test_numbers_are_greyed_when_the_server_falls_silent_and_live_again_after(phone: Visit, kitchen: Kitchen) -> None:
    """Within 10 s, and the stream is taken up again by itself when the server is back."""
    from emberdraft.web import PageServer, create_app

    page = phone.go()
    page.wait_for_selector("#link >> text=heard")
    kitchen.server.stop()
    page.wait_for_selector(".now.stale", timeout=10_000)
    assert "old" in page.inner_text("#of")
    assert "No word from the host" in page.inner_text("#sentence")
    again = PageServer(create_app(kitchen.service, kitchen.store), port=kitchen.server.port).start()
    page.wait_for_selector(".now:not(.stale) #sentence >> text=Holding", timeout=10_000)
    page.goto("about:blank")
    again.stop()
    phone.wrong.clear()  # the browser notes each failed request in its console


def test_numbers_are_greyed_when_the_board_falls_silent(desk: Visit, kitchen: Kitchen) -> None:
    page = desk.go()
    kitchen.service.fall_silent()
    page.wait_for_selector(".now.stale", timeout=10_000)
    assert page.evaluate("getComputedStyle(document.querySelector('#value')).textDecorationLine") == "line-through"


def test_two_tabs_share_one_stream(desk: Visit, kitchen: Kitchen) -> None:
    first = desk.go()
    first.wait_for_timeout(400)
    second = desk.context.new_page()
    second.goto(kitchen.url)
    second.wait_for_timeout(500)
    assert kitchen.server._app.state.hub.watchers == 1
    clock = second.inner_text("#value")
    first.close()
    second.wait_for_timeout(900)
    assert kitchen.server._app.state.hub.watchers == 1
    assert clock
    second.goto("about:blank")


WORST = """() => new Promise(done => { let worst = 0, sum = 0, first = 0, last = 0; new PerformanceObserver(list => {
  for (const e of list.getEntries()) {
    if (e.hadRecentInput) continue;
    if (e.startTime - last > 1000 || e.startTime - first > 5000) { sum = 0; first = e.startTime; }
    last = e.startTime; sum += e.value; worst = Math.max(worst, sum);
  }
}).observe({type: 'layout-shift', buffered: true}); setTimeout(() => done(worst), 300); })"""


@pytest.mark.parametrize(("cautions", "most"), [(0, 0.02), (3, 0.1)], ids=["plain", "with cautions"])
def test_a_prompt_that_comes_and_goes_hardly_moves_a_phones_page(
    phone: Visit, kitchen: Kitchen, cautions: int, most: float
) -> None:
    """The worst five seconds, as web-vitals counts CLS; below 0.1 is what it calls good."""
    whole = kitchen.service.now
    prompt = {**whole()["next"], "caution": ["Crack the lid 3 cm, wait 10 s, stand aside."] * cautions}
    shown: list[Any] = [None]
    kitchen.service.now = lambda: {**whole(), "next": shown[0]}  # type: ignore[method-assign]
    page = phone.go()
    page.wait_for_selector("#next.idle")
    shown[0] = prompt
    page.wait_for_selector("#next button")
    page.wait_for_timeout(1_200)
    shown[0] = None
    page.wait_for_selector("#next.idle")
    page.wait_for_timeout(300)
    assert page.evaluate(WORST) < most
