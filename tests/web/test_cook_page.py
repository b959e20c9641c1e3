"""Looking back: zoom, scrubber, addresses, figures, and the words in either unit, in a real browser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest

from emberdraft.review import figures_of
from emberdraft.said import Difference, Temperature, said
from emberdraft.web.pages import static_root
from tests.waiting import until
from tests.web.conftest import FINISHED, RUNNING, Kitchen
from tests.web.kitchen import EARLIER_S, START_S, UNPLUGGED_S
from tests.web.test_page import DESK, PHONE, SMALL, WIDER, Visit


def phases(kitchen: Kitchen) -> dict[str, float]:
    """When each phase of the finished cook began, unix s."""
    return {row["phase"]: row["at_s"] for row in kitchen.store.phases(FINISHED)}


def lasted_s(kitchen: Kitchen) -> float:
    return float(kitchen.store.cook(FINISHED)["end_s"] - EARLIER_S)


@pytest.fixture
def review(chromium: Any, shared: Kitchen) -> Iterator[Visit]:
    visit = Visit(chromium, shared.url, DESK, "light")
    visit.go(f"cooks/{FINISHED}")
    visit.page.wait_for_selector(".sums")
    yield visit
    visit.close()


def shown_view(page: Any) -> tuple[float, float]:
    return tuple(float(page.get_attribute("#scrub", name)) for name in ("min", "max"))


def test_the_ledger_is_of_the_moment_in_the_address(chromium: Any, shared: Kitchen) -> None:
    at_s = EARLIER_S + 100 * 60
    visit = Visit(chromium, shared.url, DESK, "light")
    page = visit.go(f"cooks/{FINISHED}?at={at_s}&from={at_s - 300}&to={at_s + 300}")
    page.wait_for_selector("[data-key=pit_c] .value >> text=1")
    assert shown_view(page) == (at_s - 300, at_s + 300)
    (pit_c,) = shared.store.readings(FINISHED, at_s - 0.5, at_s + 0.5, names=("pit_c",))["pit_c"]
    page.wait_for_selector(f"[data-key=pit_c] .value >> text={pit_c:.1f}")
    visit.close()


def test_a_drag_zooms_and_a_double_click_goes_back(review: Visit) -> None:
    page = review.page
    whole = shown_view(page)
    box = page.locator(".u-over").bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 80)
    page.mouse.down()
    page.mouse.move(box["x"] + 500, box["y"] + 90, steps=4)
    page.mouse.up()
    first, last = shown_view(page)
    assert (last - first) / (whole[1] - whole[0]) == pytest.approx(200 / box["width"], rel=0.05)
    page.wait_for_url(re.compile(f"from={round(first)}"))
    page.mouse.dblclick(box["x"] + 300, box["y"] + 80)
    assert shown_view(page) == pytest.approx(whole)


def test_the_scrubber_moves_by_keyboard_and_says_where_it_is(review: Visit) -> None:
    page = review.page
    page.focus("#scrub")
    before = float(page.input_value("#scrub"))
    page.keyboard.press("ArrowRight")
    assert float(page.input_value("#scrub")) - before == pytest.approx(1.0, abs=0.6)
    spoken = page.get_attribute("#scrub", "aria-valuetext")
    assert re.match(r"\d\d:\d\d:\d\d, pit [\d.]+ degrees, stone [\d.]+ degrees, .*blower \d+", spoken)


def test_a_phase_button_zooms_to_its_phase(review: Visit, shared: Kitchen) -> None:
    review.page.click("#tools >> text=climb")
    assert shown_view(review.page) == pytest.approx((phases(shared)["climb"], phases(shared)["sear"]), abs=0.01)


def test_what_happened_leads_to_its_moment(review: Visit) -> None:
    review.page.click("#happened >> text=The pit probe gives no value")
    at_s = float(review.page.input_value("#scrub"))
    assert 0.0 <= at_s - EARLIER_S - UNPLUGGED_S[0] <= 20.0


def test_the_figures_are_those_of_the_command_line(review: Visit, shared: Kitchen) -> None:
    slow = next(p for p in figures_of(shared.store, FINISHED)["phases"] if p["phase"] == "slow")
    cells = (
        review.page.locator(".sums tr", has=review.page.locator("th:has-text('slow')")).locator("td").all_inner_texts()
    )
    assert float(cells[0]) == pytest.approx(
        slow["duration_s"] / 60, abs=0.0501
    )  # a half is rounded up there, to even here
    assert cells[2] == f"{slow['overshoot_c']:.1f}"
    assert cells[3].replace("\u00a0", " ") == f"{round(100 * slow['within_3c_share'])} %"
    assert cells[7] == str(slow["lid_lifts"])


def test_a_phone_pinches_and_scrubs(chromium: Any, shared: Kitchen) -> None:
    visit = Visit(chromium, shared.url, PHONE, "dark")
    page = visit.go(f"cooks/{FINISHED}")
    page.wait_for_selector(".sums")
    whole = shown_view(page)
    box = page.locator(".u-over").bounding_box()
    touch = visit.context.new_cdp_session(page)

    def fingers(kind: str, *xs: float) -> None:
        points = [{"x": box["x"] + x, "y": box["y"] + 60, "id": i} for i, x in enumerate(xs)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    fingers("touchStart", 100, 200)
    for step in range(1, 6):
        fingers("touchMove", 100 - 10 * step, 200 + 10 * step)
    fingers("touchEnd")
    first, last = shown_view(page)
    assert (last - first) / (whole[1] - whole[0]) == pytest.approx(0.5, abs=0.06)
    fingers("touchStart", 50)
    fingers("touchMove", 80)
    fingers("touchMove", 120)
    fingers("touchEnd")
    assert float(page.input_value("#scrub")) == pytest.approx(first + 120 / box["width"] * (last - first), rel=1e-6)
    visit.close()


def test_the_list_of_cooks_is_searched_and_pictured(chromium: Any, shared: Kitchen) -> None:
    visit = Visit(chromium, shared.url, PHONE, "light")
    page = visit.go("cooks")
    page.wait_for_selector(".spark path.pit")
    assert page.locator(".cooks li:visible").count() == 2
    page.fill("#find", "Two chops")
    assert page.locator(".cooks li:visible").count() == 2
    page.fill("#find", "nothing like it")
    assert "nothing like it" in page.inner_text("#none")
    visit.close()


# Hand-calculated: degF = degC x 9/5 + 32; a difference is x 9/5 alone. What is kept as words stays as it is.
WORDS = [
    (
        said(
            "Holding {pit}: {gap} over, rising {pace} a minute.",
            pit=Temperature(121.0),
            gap=Difference(0.4),
            pace=Difference(0.3, bare=True),
        ),
        "Holding 250 °F: 0.7 °F over, rising 0.5 a minute.",
    ),
    (said("{pit} ± {half}", pit=Temperature(121.0), half=Difference(3.0, 0, bare=True)), "250 °F ± 5"),
    (said("{cold} outside", cold=Temperature(-5.0)), "23 °F outside"),
    ("At 57.6 °C since 17:48, blower 42 %", "At 57.6 °C since 17:48, blower 42 %"),
]


def test_words_and_numbers_are_converted_at_the_edge(chromium: Any, shared: Kitchen) -> None:
    visit = Visit(chromium, shared.url, PHONE, "light")
    page = visit.go("plans")
    module = f"{static_root()}/js/units.js"
    script = """async ([module, texts]) => { const m = await import(module);
      return texts.map(text => m.words(text, 'F').replaceAll('\\u00a0', ' ')); }"""
    texts = msgspec.to_builtins([text for text, _ in WORDS])
    assert page.evaluate(script, [module, texts]) == [wanted for _, wanted in WORDS]
    numbers = """async module => { const m = await import(module); document.documentElement.dataset.unit = 'F';
      return [m.degrees(100), m.degrees(-40), m.rate(1), m.rate(-0.5), m.rate(0), m.share(0.425),
              m.degrees(null), Math.round(m.fromUnit(212, 'F'))]; }"""
    wanted = ["212", "\u221240", "+1.8", "\u22120.9", "0.0", "43\u00a0%", "\u2013", 100]
    assert page.evaluate(numbers, module) == wanted
    visit.close()


UNDER = """([r, g, b]) => { const c = document.querySelector('.strip canvas');
  const d = c.getContext('2d').getImageData(0, 2, c.width, 1).data;
  const same = x => d[4 * x] === r && d[4 * x + 1] === g && d[4 * x + 2] === b;
  return [...Array(c.width).keys()].filter(same).map(x => x / devicePixelRatio); }"""


def test_another_cook_is_laid_under_lined_up_at_an_event(chromium: Any, shared: Kitchen) -> None:
    visit = Visit(chromium, shared.url, DESK, "light")
    page = visit.go(f"cooks/{FINISHED}?under={RUNNING}&line=climb")
    page.wait_for_selector("#caption >> text=lined up at light")  # the other one has not come to its climb
    page.wait_for_url(re.compile(f"under={RUNNING}&line=light"))
    hits = until(lambda: page.evaluate(UNDER, [0x85, 0x8D, 0x92]))  # the strip paints in the next frame
    box = page.locator(".u-over").bounding_box()
    left = box["x"] - page.locator(".strip canvas").bounding_box()["x"]
    # Both began alike: the thin line of phases runs from the light to where the other one is.
    light_s, there_s = phases(shared)["light"] - EARLIER_S, shared.clock.at_s - START_S
    assert hits[0] == pytest.approx(left + box["width"] * light_s / lasted_s(shared), abs=3)
    assert hits[-1] == pytest.approx(left + box["width"] * there_s / lasted_s(shared), abs=3)
    page.select_option("#under select", label="no other cook")
    page.wait_for_url(lambda url: "under" not in url)
    assert page.evaluate(UNDER, [0x85, 0x8D, 0x92]) == []
    visit.close()


def test_the_choice_of_another_cook_fits_a_phone(chromium: Any, shared: Kitchen) -> None:
    visit = Visit(chromium, shared.url, PHONE, "dark")
    page = visit.go(f"cooks/{FINISHED}?under={RUNNING}")
    page.wait_for_selector("#caption >> text=lined up at")
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    visit.close()


def test_a_cook_is_brought_from_a_file_and_a_bad_file_says_why(chromium: Any, kitchen: Kitchen, tmp_path: Path) -> None:
    text = kitchen.http.get(f"/api/cooks/{FINISHED}/export.csv").text.replace("garden", "shed")
    lines = text.split("\n")
    bad, good = tmp_path / "bad.csv", tmp_path / "good.csv"
    bad.write_text("\n".join([*lines[:30], lines[30].replace(",", ",x", 1), *lines[31:]]))
    good.write_text(text)
    visit = Visit(chromium, kitchen.url, PHONE, "light")
    page = visit.go("cooks")
    assert page.evaluate(SMALL) == []
    page.set_input_files("#bring", bad)
    page.wait_for_selector("#brought >> text=line 31")
    page.set_input_files("#bring", good)
    page.wait_for_url(re.compile(r"/cooks/3$"))
    page.wait_for_selector(".sums")
    assert page.inner_text("#name") == "good"
    named = page.locator("#exports a").all_inner_texts()
    assert named == ["Cook it again", "Tuning", "CSV", "JSON", "Parquet"]
    visit.wrong.clear()  # the browser notes the refused request in its console
    visit.close()
