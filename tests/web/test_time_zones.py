"""The host's clock on the page, wherever host and browser are: west, east, half an hour between, both nights of DST.

What a clock shows is taken from Python's zoneinfo; the host's zone is set as a system would, by TZ.
"""

from __future__ import annotations

import datetime
import itertools
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.rehearsal import cold_world
from tests.web.conftest import FINISHED, RUNNING, Kitchen, open_kitchen
from tests.web.kitchen import EARLIER_S
from tests.web.simulated_board import SimulatedBoard
from tests.web.test_page import PHONE, Visit

ZONES = ["America/Los_Angeles", "Asia/Tokyo", "Asia/Kolkata"]
FAR = "Pacific/Auckland"  # where the browser is
SPRING_S, AUTUMN_S = 1774746000.0, 1792890000.0  # 2026-03-29 and 2026-10-25, 01:00 UTC: Europe's nights (2000/84/EC)


@pytest.fixture
def zone(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[ZoneInfo]:
    """The zone of this process, and so of the host."""
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield ZoneInfo(request.param)
    monkeypatch.undo()
    time.tzset()


def clock(at_s: float, zone: ZoneInfo) -> str:
    return f"{datetime.datetime.fromtimestamp(at_s, zone):%H:%M}"


def offset_s(at_s: float, zone: ZoneInfo) -> float:
    return datetime.datetime.fromtimestamp(at_s, zone).utcoffset().total_seconds()  # type: ignore[union-attr]


def far_browser(chromium: Any, url: str) -> Visit:
    """A browser in another zone than the host."""
    visit = Visit(chromium, url, PHONE, "light")
    visit.context.close()
    visit.context = chromium.new_context(viewport={"width": 390, "height": 844}, timezone_id=FAR)
    visit.page = visit.context.new_page()
    return visit


@pytest.mark.parametrize("zone", ZONES, indirect=True)
def test_the_page_shows_the_hosts_clock_and_not_the_browsers(
    zone: ZoneInfo, chromium: Any, larder: Path, tmp_path: Path
) -> None:
    with open_kitchen(tmp_path, larder) as kitchen:
        now = kitchen.http.get("/api/now").json()
        assert now["utc_offset_s"] == offset_s(now["now_s"], zone)
        for cook in kitchen.http.get("/api/cooks").json()["cooks"]:
            assert cook["utc_offset_s"] == offset_s(cook["start_s"], zone)
        visit = far_browser(chromium, kitchen.url)
        page = visit.go()
        assert page.inner_text("#clock").startswith(clock(kitchen.clock.at_s, zone))
        lit_s = next(mark["at_s"] for mark in kitchen.store.marks(RUNNING) if mark["kind"] == "vent_top")
        assert f"by hand at {clock(lit_s, zone)}" in page.inner_text("#ledger")
        page = visit.go(f"cooks/{FINISHED}?at={EARLIER_S + 6000.0}")
        page.wait_for_selector("#scrub")
        assert page.get_attribute("#scrub", "aria-valuetext").startswith(clock(EARLIER_S + 6000.0, zone))
        visit.close()


@pytest.mark.parametrize("zone", ["Europe/Berlin"], indirect=True)
@pytest.mark.parametrize(("change_s", "before", "after"), [(SPRING_S, "01:59", "03:00"), (AUTUMN_S, "02:59", "02:00")])
def test_a_cook_goes_through_the_night_in_which_the_clocks_change(
    zone: ZoneInfo, chromium: Any, tmp_path: Path, change_s: float, before: str, after: str
) -> None:
    """The record goes on second by second, no phase or alarm comes of it, and the page shows the new hour."""
    plan = load_plan("hold")
    kitchen = Kitchen(tmp_path, None)
    kitchen.clock.at_s = change_s - 60.0
    kitchen.board = SimulatedBoard(cold_world(plan, None, 0), "c1c1c1c1")
    kitchen.pass_s(3)
    kitchen.service.start_cook(plan)
    kitchen.pass_s()
    kitchen.service.answer(kitchen.service.prompts()[0].id, at_cooker=True)
    kitchen.pass_s(20)
    visit = far_browser(chromium, kitchen.url)
    visit.page.goto(visit.own)
    visit.page.wait_for_selector(f"#clock >> text={before}")
    for _ in range(8):
        kitchen.pass_s(10)
    visit.page.wait_for_selector(f"#clock >> text={after}")
    state = kitchen.service.now()
    assert (state["phase"]["name"], state["link"]["state"], state["alarms"]) == ("light", "online", [])
    at = kitchen.store.readings(1, change_s - 30.0, change_s + 30.0, names=("at_s",))["at_s"]
    assert [round(b - a, 3) for a, b in itertools.pairwise(at)] == [1.0] * (len(at) - 1) and len(at) >= 59
    visit.close()
    kitchen.close()


def test_a_host_that_slept_for_an_hour_says_so_and_takes_what_the_board_kept(kitchen: Kitchen, chromium: Any) -> None:
    """The board holds on with its last order; what it kept comes late, what did not fit is a named gap."""
    visit = Visit(chromium, kitchen.url, PHONE, "light")
    page = visit.go()
    board, slept_from_s = kitchen.board, kitchen.clock.at_s
    assert board is not None
    board.line.up = False
    for _ in range(3600):
        board.second()
    kitchen.clock.at_s += 3600.0
    board.line.said.clear()
    kitchen.ingest.turn([])
    kitchen.service.tick()
    page.wait_for_selector(".now.stale")
    assert "no_link" in {alarm["id"] for alarm in kitchen.service.now()["alarms"]}
    board.line.up, board.line.epoch = True, board.line.epoch + 1
    for _ in range(150):
        kitchen.pass_s()
    page.wait_for_selector(".now:not(.stale)")
    at = kitchen.store.readings(RUNNING, slept_from_s, kitchen.clock.at_s, names=("at_s",))["at_s"]
    assert at == sorted(at) and len(set(at)) == len(at)
    assert len(at) >= 600 + 150 - 5  # the memory of the board, and what has come since
    (gap,) = (row for row in kitchen.store.gaps(RUNNING) if row["end_s"] > slept_from_s)
    assert gap["why"] == "lost" and gap["end_s"] - gap["start_s"] == pytest.approx(3600 - 600, abs=30)
    assert kitchen.service.now()["link"]["state"] == "online"
    visit.close()
