"""Boxes in a real browser, over a cook with faults: nothing cut off, covered, too small, too faint, or moved.

Contrast is judged by WCAG 2.2, targets by its 2.5.5 (44 px); shifts are counted as web-vitals does, none forgiven.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.proof.fixture import Proof
from tests.web.boxes import CUT, FAINT, LAID_OVER, UNDER_BAR, WATCH, WATCHED
from tests.web.conftest import Kitchen
from tests.web.stages import stages
from tests.web.test_page import SMALL

DESK, TABLET, PHONE = (1440, 900), (768, 1024), (390, 844)
# The last is a desk's screen enlarged twice: half as many CSS pixels either way.
SIZES = [(360, 740), PHONE, (600, 900), TABLET, (844, 390), (1024, 768), DESK, (1920, 1080), (720, 450)]
FEW = [(360, 740), (1024, 768), DESK]
CHECKS = {
    "text cut off": CUT,
    "text over text": LAID_OVER,
    "text under the bar": UNDER_BAR,
    "targets under 44 px": SMALL,
}
PAGES = ["plans", "begin", "shelf", "cooks", "cooks/1", "trials", "brine", "health", "calls", "kitchen"]
SETTLED = "() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
LEDGER_SEEN = """() => { const foot = document.querySelector(".bar").getBoundingClientRect().top;
  return [...document.querySelectorAll("#ledger tr")].filter(e => e.getBoundingClientRect().bottom > foot + 1)
    .map(e => `below the screen: ${e.textContent}`); }"""

Found = dict[str, list[str]]


@pytest.fixture
def page(chromium: Any) -> Iterator[Any]:
    context = chromium.new_context(color_scheme="light")
    context.add_init_script(WATCH)
    yield context.new_page()
    context.close()


def opened(page: Any, url: str, size: tuple[int, int]) -> None:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.goto(url)
    page.wait_for_selector("body.ready")
    page.wait_for_load_state("networkidle" if "/" in url[8:].rstrip("/") else "load")
    page.wait_for_timeout(400)


def measure(page: Any, where: str, found: Found, themes: tuple[str, ...] = ("light", "dark")) -> None:
    """Everything but movement, of what is seen now, in both units."""
    for unit in "CF":
        for name, script in CHECKS.items():
            found[name] += [f"{where} °{unit}: {wrong}" for wrong in page.evaluate(script)]
        for theme in themes:
            page.emulate_media(color_scheme=theme)
            page.evaluate(SETTLED)
            found["text too faint"] += [f"{where} °{unit} {theme}: {wrong}" for wrong in page.evaluate(FAINT)]
        page.click("#unit")
        page.evaluate(SETTLED)


def moved(page: Any, kitchen: Kitchen, where: str, found: Found, seconds: int = 6) -> None:
    """What moves while numbers change."""
    page.evaluate(WATCHED)
    for _ in range(seconds // 2):
        kitchen.pass_s(2)
        page.wait_for_timeout(350)
    found["boxes moved"] += [f"{where}: {wrong}" for wrong in page.evaluate(WATCHED)]


@pytest.mark.parametrize("size", FEW, ids=["phone", "tablet", "desk"])
def test_an_alarm_comes_and_no_box_is_moved_cut_or_covered(page: Any, kitchen: Kitchen, size: tuple[int, int]) -> None:
    found: Found = defaultdict(list)
    opened(page, kitchen.url, size)
    page.wait_for_selector("#next h2 >> text=Pull")
    page.evaluate(WATCHED)
    kitchen.provoke("notice")
    page.wait_for_selector(".alarm >> text=stone probe")
    found["boxes moved"] += page.evaluate(WATCHED)
    measure(page, "an alarm beside a pull", found, ("light",))
    assert {name: wrong for name, wrong in found.items() if wrong} == {}


@pytest.mark.prove("page boxes", proves=["host/emberdraft/web/static", "host/emberdraft/web/templates"])
def test_boxes_in_every_state_at_every_size(page: Any, tmp_path: Path, proof: Proof) -> None:
    found: Found = defaultdict(list)
    states = 0
    for name, kitchen in stages(tmp_path):
        states += 1
        for size in SIZES:
            where = f"{name}, {size[0]}x{size[1]}"
            opened(page, kitchen.url, size)
            measure(page, where, found, ("light", "dark") if size in (DESK, PHONE) else ("light",))
            moved(page, kitchen, where, found)
            if size == DESK and name not in ("pull prompt", "ended"):  # its cautions, and Begin, come before any figure
                found["ledger off a desk's screen"] += [f"{name}: {wrong}" for wrong in page.evaluate(LEDGER_SEEN)]
        if name == "ended":
            for path in PAGES:
                for size in SIZES:
                    opened(page, kitchen.url + path, size)
                    measure(page, f"{path}, {size[0]}x{size[1]}", found, ("light", "dark"))
    proof.record("states of one cook, with faults", states, note=f"{len(SIZES)} sizes, both units and themes")
    for name in (*CHECKS, "text too faint", "boxes moved", "ledger off a desk's screen"):
        print(name, *found[name], sep="\n  ")
        proof.promise(name, len(found[name]), equals=0, note="; ".join(found[name][:3]))
