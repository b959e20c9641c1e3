"""The page's sound in a real browser: none before a tap, a tone while something asks, quiet and off are kept.

The seconds between its tones are not waited for: the page's clock is put forward (`pass_ms`).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.waiting import until
from tests.web.conftest import Kitchen
from tests.web.test_page import DESK, PHONE, Visit

ALARMS = Path(__file__).parents[2] / "docs" / "reference" / "alarms.md"
LOOK_MS = 500  # how often the page looks whether it should sound
# Notes each tone as it is started: how high, whether the browser lets it sound, and when by the page's clock.
LISTEN = """window.tones = [];
const make = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  const made = make.call(this), start = made.start.bind(made), context = this;
  made.start = (at) => { window.tones.push([made.frequency.value, context.state, performance.now()]); start(at); };
  return made;
};"""


def listening(chromium: Any, kitchen: Kitchen, size: tuple[int, int]) -> Visit:
    made = Visit(chromium, kitchen.url, size, "light")
    made.context.clock.install()
    made.context.add_init_script(LISTEN)
    return made


@pytest.fixture(params=[DESK, PHONE], ids=["desk", "phone"])
def visit(request: pytest.FixtureRequest, chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    made = listening(chromium, kitchen, request.param)
    yield made
    made.close()


@pytest.fixture
def desk(chromium: Any, kitchen: Kitchen) -> Iterator[Visit]:
    made = listening(chromium, kitchen, DESK)
    yield made
    made.close()


def tones(page: Any) -> list[Any]:
    return list(page.evaluate("window.tones"))


def says(page: Any, text: str) -> None:
    page.wait_for_selector(f"#sound >> text={text}")


def pass_ms(page: Any, passed_ms: int) -> None:
    """So long by the page's clock, all its timers in their order."""
    page.clock.run_for(passed_ms)


def looks_again(page: Any) -> None:
    """Long enough for the page to look whether it should sound, three times."""
    pass_ms(page, 3 * LOOK_MS)


def sounds(page: Any, expression: str) -> None:
    """Let time pass until that is true of the tones; news of an alarm may still be on its way."""

    def true() -> bool:
        pass_ms(page, LOOK_MS)
        return bool(page.evaluate(expression))

    until(true, what=lambda: (expression, tones(page)))


def press(page: Any, word: str) -> None:
    page.get_by_role("button", name=word, exact=True).click()


def test_a_trip_sounds_after_one_tap_until_it_is_acknowledged(visit: Visit, kitchen: Kitchen) -> None:
    kitchen.acknowledge()
    page = visit.go()
    says(page, "No sound here until you tap.")
    kitchen.provoke("trip")
    page.wait_for_selector(".alarm.trip")
    looks_again(page)
    assert tones(page) == []
    press(page, "Sound on")
    says(page, "Sounding here until you acknowledge.")
    sounds(page, "window.tones.length >= 7")  # one to hear how loud, then three and three
    heard = tones(page)
    assert {state for _, state, _ in heard} == {"running"}
    assert [hertz for hertz, _, _ in heard[1:7]] == [880] * 6
    kitchen.acknowledge()
    says(page, "Sounds here when something asks for you.")
    before = len(tones(page))
    pass_ms(page, 4500)  # a trip sounds every 4 s
    assert len(tones(page)) == before


def test_the_sound_keeps_its_place_when_alarms_come_and_the_graver_one_sounds(desk: Visit, kitchen: Kitchen) -> None:
    kitchen.acknowledge()
    page = desk.go()
    press(page, "Sound on")
    before = page.locator("#sound").bounding_box()
    for kind, hertz in (("notice", 560), ("pause", 700), ("trip", 880)):
        page.evaluate("window.tones.length = 0")
        kitchen.provoke(kind)
        sounds(page, f"window.tones.some(([hertz]) => hertz === {hertz})")
    assert page.locator("#sound").bounding_box() == before


@pytest.mark.parametrize(("kind", "count", "hertz", "every_s"), [("trip", 3, 880, 4), ("pause", 2, 700, 6)])
def test_each_kind_has_its_tones(
    desk: Visit, kitchen: Kitchen, kind: str, count: int, hertz: int, every_s: int
) -> None:
    """As docs/reference/alarms.md has them: how many, and how often; how high is not told there."""
    words = {3: "three short ones", 2: "two"}[count]
    assert f"{words} every {every_s} s for a {kind}" in ALARMS.read_text(encoding="utf-8").replace("\n", " ")
    kitchen.acknowledge()
    kitchen.provoke(kind)
    page = desk.go()
    press(page, "Sound on")
    sounds(page, f"window.tones.length >= {1 + 2 * count}")
    heard = tones(page)[1 : 1 + 2 * count]
    assert [high for high, _, _ in heard] == [hertz] * (2 * count)
    assert 1000.0 * every_s <= heard[count][2] - heard[0][2] <= 1000.0 * every_s + LOOK_MS


def test_quiet_and_off_are_kept_by_this_browser(desk: Visit, kitchen: Kitchen) -> None:
    kitchen.provoke("trip")
    page = desk.go()
    press(page, "Sound on")
    press(page, "Quiet 5 min")
    says(page, "Quiet here until")
    page.reload()
    says(page, "No sound here until you tap.")  # a browser forgets that it was tapped
    page.locator("#sentence").click()
    says(page, "Quiet here until")
    looks_again(page)
    assert tones(page) == []
    press(page, "Sound again")
    sounds(page, "window.tones.length >= 3")
    press(page, "Sound off")
    says(page, "The sound is off here.")
    page.reload()
    says(page, "The sound is off here.")
    page.locator("#sentence").click()
    looks_again(page)
    assert tones(page) == []


def test_what_is_snoozed_on_the_host_makes_no_sound(desk: Visit, kitchen: Kitchen) -> None:
    kitchen.acknowledge()
    page = desk.go()
    press(page, "Sound on")
    kitchen.provoke("notice")
    kitchen.service.command("snooze", id="stone_sensor", minutes=10.0)
    kitchen.pass_s()
    page.wait_for_selector(".alarm.notice >> text=snoozed until")
    page.evaluate("window.tones.length = 0")
    pass_ms(page, 13_000)  # a notice sounds every 12 s
    assert tones(page) == []


def test_the_page_with_its_sound_keeps_the_rules_of_every_screen(visit: Visit, kitchen: Kitchen) -> None:
    """No accessibility violation (axe-core) with an alarm standing, in each state of the sound."""
    from axe_playwright_python.sync_playwright import Axe

    kitchen.provoke("trip")
    page = visit.go()
    for word in ("Sound on", "Quiet 5 min", "Sound off"):
        assert Axe().run(page).response["violations"] == []
        press(page, word)
    assert Axe().run(page).response["violations"] == []


def test_a_test_notice_is_sent_from_the_health_page(desk: Visit, kitchen: Kitchen) -> None:
    page = desk.go("health")
    press(page, "Send a test notice")
    page.wait_for_selector("#test-said >> text=Test notice sent by webhook")
    assert [notice["kind"] for notice in kitchen.postbox.got] == ["test"]
    kitchen.postbox.open = False
    press(page, "Send a test notice")
    page.wait_for_selector("#test-said >> text=nobody there")
    desk.wrong.clear()  # the browser notes a refused request in its console
