"""Figures of the page: its weight, the time until it can be used, the time each route takes, a long cook.

Printed by `python -m tests.web.figures`; nothing here is asserted, since times depend on the machine.
"""

from __future__ import annotations

import gzip
import math
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from emberdraft.store.store import Store
from emberdraft.web.app import ROUTES
from emberdraft.web.pages import STATIC, TEMPLATES
from tests.store.making import reading
from tests.web import kitchen as cooking
from tests.web.conftest import BROWSER, FINISHED, open_kitchen
from tests.web.kitchen import START_S

REPEATS = 9
LONG_H = 24
# Streams never end, and what the workshop does takes seconds by intention.
NOT_TIMED = ("stream", "api/cooks/{cook_id:row}/tuning", "replay")
LATER_S = 30 * 86400.0

# Filled with data: the sentence is there and the strip has been drawn.
USABLE = """() => new Promise(done => { const look = () => document.body.classList.contains('ready')
  && document.querySelector('.strip .y, .cooks li, .file, .pairs') ? done(performance.now()) : setTimeout(look, 2);
  look(); })"""
WITH_DATA = """() => new Promise(done => { const look = () => document.querySelector('.strip .tag')
  ? done(performance.now()) : setTimeout(look, 2); look(); })"""


def weight() -> tuple[int, int]:
    """Bytes of all files, plain and compressed one by one."""
    files = [path.read_bytes() for folder in (STATIC, TEMPLATES) for path in folder.rglob("*") if path.is_file()]
    return sum(map(len, files)), sum(len(gzip.compress(data)) for data in files)


@contextmanager
def kitchen(folder: Path) -> Iterator[tuple[str, int]]:
    """A page over the finished cook, the one that goes on, and one long cook; its address and the long cook's id."""
    made = folder / "made"
    made.mkdir()
    cooking.make(made)
    with open_kitchen(folder, made, forecasts=True) as host:
        yield host.url, add_long_cook(host.store, LONG_H)


def add_long_cook(store: Store, hours: int) -> int:
    """A hold that swings a little, one reading a second; all twelve traces."""
    start_s = START_S + LATER_S + hours * 86400.0
    cook_id = store.begin_cook("yard", f"{hours} hours", None, start_s, invented=True)
    core_c, core_fault = [40.0, 41.0, 42.0, 43.0], [""] * 4
    stamped = [
        {**reading(k, pit_c=121.0 + math.sin(k / 100.0), core_c=core_c, core_fault=core_fault), "at_s": start_s + k}
        for k in range(hours * 3600)
    ]
    store.add_records("yard", f"c{hours:03}", stamped)
    store.add_phase(cook_id, start_s, "slow", 121.0)
    store.end_cook(cook_id, start_s + hours * 3600.0, "invented")
    return cook_id


def route_ms(url: str, path: str) -> float:
    """The middle of some requests, milliseconds, measured from outside."""
    with httpx.Client(base_url=url, timeout=30.0) as http:
        times = []
        for _ in range(REPEATS):
            began = time.perf_counter()
            http.get(path).raise_for_status()
            times.append(1000.0 * (time.perf_counter() - began))
    return statistics.median(times)


def page_times(url: str, long_id: int) -> list[str]:
    """Milliseconds from opening a page until it can be used, in a real browser on a phone's screen."""
    from playwright.sync_api import sync_playwright

    lines = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.goto(url)
        # A cook is come to from the list, which has asked for its strip already; the first visit stands apart.
        for name, path in (("a 3-hour cook, first visit", FINISHED), (f"a {LONG_H}-hour cook, first visit", long_id)):
            page.goto(f"{url}cooks/{path}")
            lines.append(f"{name:<42} {page.evaluate(WITH_DATA):7.0f} ms")
            page.wait_for_selector(".sums")
        for name, path, script in (
            ("Now, usable", "", USABLE),
            ("Now, strip with data", "", WITH_DATA),
            ("Cooks, usable", "cooks", USABLE),
            ("a 3-hour cook, strip with data", f"cooks/{FINISHED}", WITH_DATA),
            (f"a {LONG_H}-hour cook, strip with data", f"cooks/{long_id}", WITH_DATA),
        ):
            times = []
            for _ in range(REPEATS):
                page.goto(url + path)
                times.append(page.evaluate(script))
            lines.append(f"{name:<42} {statistics.median(times):7.0f} ms")
        browser.close()
    return lines


def main() -> None:
    plain, packed = weight()
    print(f"page weight, all files                     {plain / 1000.0:7.1f} kB, gzipped {packed / 1000.0:.1f} kB")
    with tempfile.TemporaryDirectory() as folder, kitchen(Path(folder)) as (url, long_id):
        for route in ROUTES:
            if "GET" in (route.methods or ()) and not any(word in route.path for word in NOT_TIMED):
                path = route.path.replace("{cook_id:row}", str(FINISHED)).replace("{cooker}", "garden")
                path = path.replace("{name}", "hold")
                print(f"GET {path:<38} {route_ms(url, path):7.1f} ms")
        print(
            f"GET strip of {LONG_H} h                          {route_ms(url, f'/api/cooks/{long_id}/strip'):7.1f} ms"
        )
        print(
            f"GET figures of {LONG_H} h                        {route_ms(url, f'/api/cooks/{long_id}/figures'):7.1f} ms"
        )
        print("\n".join(page_times(url, long_id)))


if __name__ == "__main__":
    main()
