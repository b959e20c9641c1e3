"""The page's sound in a real browser: none before a tap, a tone while something asks, quiet and off are kept."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.web.conftest import Kitchen
from tests.web.test_page import DESK, PHONE, Visit

# Notes each tone as it is started: how high, and whether the browser lets it sound.
LISTEN = """window.tones = [];
const make = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  const made = make.call(this), start = made.start.bind(made), context = this;
  made.start = (at) => { window.tones.push([made.frequency.value, context.state]); start(at); };
  return made;
};"""
TRIP = {"id": "runaway", "kind": "trip", "cause": "It rises by itself", "consequence": "No air", "action": "Look"}
NOTICE = {"id": "fuel_out", "kind": "notice", "cause": "Little fire", "consequence": "It cools", "action": "Add fuel"}


@pytest.fixture(params=[DESK, PHONE], ids=["desk", "phone"])
def visit(request: pytest.FixtureRequest, chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    made = Visit(chromium, kitchen.url, request.param, "light")
    made.context.add_init_script(LISTEN)
    yield made
    made.close()


@pytest.fixture
def desk(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    made = Visit(chromium, kitchen.url, DESK, "light")
    made.context.add_init_script(LISTEN)
    yield made
    made.close()


def tones(page: Any) -> list[Any]:
    return list(page.evaluate("window.tones"))


def says(page: Any, text: str) -> None:
    page.wait_for_selector(f"#sound >> text={text}")


def until(page: Any, expression: str, most_s: float = 12.0) -> None:
    """Until that is true; the page's policy forbids playwright's own way, which evaluates a text in it."""
    for _ in range(round(10.0 * most_s)):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never: {expression}")


def press(page: Any, word: str) -> None:
    page.get_by_role("button", name=word, exact=True).click()


def test_a_trip_sounds_after_one_tap_until_it_is_acknowledged(visit: Visit, kitchen: Kitchen) -> None:
    page = visit.go()
    says(page, "No sound here until you tap.")
    kitchen.service.raise_alarm(**TRIP)
    page.wait_for_selector(".alarm.trip")
    page.wait_for_timeout(1200)
    assert tones(page) == []
    press(page, "Sound on")
    says(page, "Sounding here until you acknowledge.")
    until(page, "window.tones.length >= 7")  # one to hear how loud, then three and three
    heard = tones(page)
    assert {state for _, state in heard} == {"running"}
    assert [hertz for hertz, _ in heard[1:7]] == [880] * 6
    press(page, "Acknowledge")
    says(page, "Sounds here when something asks for you.")
    before = len(tones(page))
    page.wait_for_timeout(4500)
    assert len(tones(page)) == before


def test_the_sound_stands_beside_the_alarm_and_the_graver_one_sounds(desk: Visit, kitchen: Kitchen) -> None:
    page = desk.go()
    press(page, "Sound on")
    kitchen.service.raise_alarm(**NOTICE)
    until(page, "window.tones.some(([hertz]) => hertz === 560)")
    kitchen.service.raise_alarm(**TRIP)
    until(page, "window.tones.some(([hertz]) => hertz === 880)")
    alarm = page.locator(".alarms").bounding_box()
    sound = page.locator("#sound").bounding_box()
    assert 0 <= sound["y"] - alarm["y"] - alarm["height"] < 40


def test_quiet_and_off_are_kept_by_this_browser(desk: Visit, kitchen: Kitchen) -> None:
    kitchen.service.raise_alarm(**TRIP)
    page = desk.go()
    press(page, "Sound on")
    press(page, "Quiet 5 min")
    says(page, "Quiet here until")
    page.reload()
    says(page, "No sound here until you tap.")  # a browser forgets that it was tapped
    page.locator("#sentence").click()
    says(page, "Quiet here until")
    page.wait_for_timeout(1500)
    assert tones(page) == []
    press(page, "Sound again")
    until(page, "window.tones.length >= 3")
    press(page, "Sound off")
    says(page, "The sound is off here.")
    page.reload()
    says(page, "The sound is off here.")
    page.locator("#sentence").click()
    page.wait_for_timeout(1500)
    assert tones(page) == []


def test_what_is_snoozed_on_the_host_makes_no_sound(desk: Visit, kitchen: Kitchen) -> None:
    page = desk.go()
    press(page, "Sound on")
    kitchen.service.raise_alarm(**{**NOTICE, "snoozed_until_s": kitchen.service.now_s() + 600.0})
    page.wait_for_selector(".alarm.notice")
    page.wait_for_timeout(1500)
    assert len(tones(page)) == 1


def test_the_page_with_its_sound_keeps_the_rules_of_every_screen(visit: Visit, kitchen: Kitchen) -> None:
    """No accessibility violation (axe-core) with an alarm standing, in each state of the sound."""
    from axe_playwright_python.sync_playwright import Axe

    kitchen.service.raise_alarm(**TRIP)
    page = visit.go()
    for word in ("Sound on", "Quiet 5 min", "Sound off"):
        assert Axe().run(page).response["violations"] == []
        press(page, word)
    assert Axe().run(page).response["violations"] == []


def test_a_test_notice_is_sent_from_the_health_page(desk: Visit, kitchen: Kitchen) -> None:
    page = desk.go("health")
    press(page, "Send a test notice")
    page.wait_for_selector("#test-said >> text=Test notice sent by webhook")
    assert ("test_notice", ()) in kitchen.service.calls
    kitchen.service.notices_fail = True
    press(page, "Send a test notice")
    page.wait_for_selector("#test-said >> text=nobody there")
    desk.wrong.clear()  # the browser notes a refused request in its console
