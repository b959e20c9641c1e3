"""A day of cooking is shown as soon as an hour is: first paint with data in a real browser, nothing kept before."""

from __future__ import annotations

import statistics
from pathlib import Path
from typing import Any

import pytest

from emberdraft.store.store import Store
from emberdraft.web.app import create_app
from emberdraft.web.server import PageServer
from tests.proof.fixture import Proof
from tests.web.figures import WITH_DATA, add_long_cook
from tests.web.kitchen import service_over

VISITS = 9


def first_paint_ms(chromium: Any, server: PageServer, cook_id: int) -> float:
    """From opening the page until the strip has its data and its words, milliseconds."""
    server._app.state.kept._answers.clear()
    context = chromium.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(f"{server.url}cooks/{cook_id}")
    spent: float = page.evaluate(WITH_DATA)
    page.wait_for_selector(".sums", timeout=600_000)  # the figures come after it, and are not to slow the next visit
    context.close()
    return spent


@pytest.mark.prove("page", proves=["host/emberdraft/web/static"])
def test_first_paint_of_a_day_beside_an_hour(tmp_path: Path, chromium: Any, proof: Proof) -> None:
    store = Store(tmp_path / "cooks.sqlite")
    hour, day = add_long_cook(store, 1), add_long_cook(store, 24)
    server = PageServer(create_app(service_over(store), store)).start()
    first_paint_ms(chromium, server, hour)  # the browser itself begins
    pairs = [(first_paint_ms(chromium, server, hour), first_paint_ms(chromium, server, day)) for _ in range(VISITS)]
    server.stop()
    store.close()
    hour_ms, day_ms = (statistics.median(times) for times in zip(*pairs, strict=True))
    ratios = tuple(round(day / hour, 2) for hour, day in pairs)
    said = f"medians of {VISITS}: {day_ms:.0f} ms against {hour_ms:.0f} ms"
    name = "first paint with data, a day at 1 Hz over an hour"
    proof.promise(name, round(day_ms / hour_ms, 3), at_most=1.5, note=said, tries=ratios)
