"""Tuning on the page: learnt from a cook by a process of its own, tried on that cook, sent with words, taken back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from emberdraft.store.read import Reader
from emberdraft.store.store import Store
from emberdraft.tuning.identify import identify
from emberdraft.tuning.propose import INSIST, as_json, propose
from emberdraft.tuning.record import read_cook
from emberdraft.tuning.rules import tau_c_of
from tests.store.making import START_S, reading
from tests.tuning.conftest import HEAVY
from tests.tuning.cooks import NAMES, run, story
from tests.waiting import CAP_S, until
from tests.web.real_host import Host, real_host
from tests.web.test_page import DESK, PHONE, SHIFT, SMALL, WIDER, Visit

MINUTES = 80
MOVED = """() => new Promise(done => { new PerformanceObserver(list => done(list.getEntries().map(e =>
  `${e.value}: ${e.sources.map(s => s.node && (s.node.id || s.node.className || s.node.nodeName)).join(' ')}`)))
  .observe({type: 'layout-shift', buffered: true}); setTimeout(() => done([]), 300); })"""
OLD = {"kp": 0.05, "ti_s": 700.0, "td_s": 60.0, "b": 1.0}
NOW = {"kp": 0.035, "ti_s": 600.0, "td_s": 60.0, "b": 1.0}


@pytest.fixture(scope="module")
def tuned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Host]:
    """A host whose one finished cook held a heavy cooker; its board has reported gains twice."""
    folder = tmp_path_factory.mktemp("tuned")
    columns = run(HEAVY, story(float(MINUTES))).columns
    with Store(folder / "cooks.sqlite") as store:
        cook_id = store.begin_cook("yard", "learn", None, START_S)
        rows = zip(*(columns[name] for name in NAMES), strict=True)
        named = ({("p" if n == "p_duty" else n): v for n, v in zip(NAMES, row, strict=True)} for row in rows)
        made = [reading(k, **{n: v for n, v in row.items() if n != "at_s"}) for k, row in enumerate(named)]
        store.add_records("yard", "b1", made)
        store.end_cook(cook_id, START_S + len(made), "done")
        store.add_tuning("yard", START_S - 900.0, OLD)
        # A board reckons with 32 bits: that is no other gain.
        store.add_tuning("yard", START_S - 60.0, {**NOW, "kp": 0.03500000014901161}, 3)
        store.add_tuning("yard", START_S + 60.0, {**NOW, "gain": 0.3}, 3)
    with real_host(folder) as made_host:
        yield made_host


def reckoned(host: Host, path: str) -> Any:
    """The answer, asked for until it is there."""

    def answer() -> Any:
        asked = host.http.get(path, timeout=CAP_S)
        assert asked.status_code == 200, asked.text
        told = asked.json()
        assert told["state"] == "done" or told["doing"]
        return told if told["state"] == "done" else None

    return until(answer, 10.0 * CAP_S)["found"]


def test_the_page_has_what_the_verb_says(tuned: Host) -> None:
    asked = "/api/cooks/1/tuning?rule=simc&slider=0.5"
    assert tuned.http.get(asked, timeout=CAP_S).status_code == 200  # its process begins, and this one beside it
    with Reader(tuned.store.path) as reader:
        cook = read_cook(reader, 1)
    model = identify(cook)
    said = as_json(propose(cook, "simc", tau_c_of(0.5, model.fopdt.delay_s), model))
    found = reckoned(tuned, asked)
    for key in ("rule", "model", "trust", "schedule", "present", "proposed", "iae_ratio", "keep"):
        assert found[key] == said[key], key
    assert found["targets_c"][0] == 121.0
    assert len({len(column) for column in found["traces"].values()}) == 1


def test_another_target_and_vent_change_the_replay_and_nothing_else_does(tuned: Host) -> None:
    as_it_was = reckoned(tuned, "/api/cooks/1/replay")
    assert as_it_was["choice"]["gains"] == NOW
    lower = reckoned(tuned, "/api/cooks/1/replay?target_c=121:115")
    both = zip(as_it_was["traces"]["replayed_c"], lower["traces"]["replayed_c"], strict=True)
    apart = sorted(a - b for a, b in both if a is not None and a > 118.0)
    assert 4.0 < apart[len(apart) // 2] < 8.0  # six degrees lower were asked for
    wide = reckoned(tuned, "/api/cooks/1/replay?vent_top=1")
    mean = [sum(found["traces"]["replayed_duty"]) for found in (as_it_was, wide)]
    assert mean[1] < mean[0]  # more draught: the blower has less to do


@pytest.mark.parametrize(
    ("query", "what"),
    [("tuning?rule=best", "rule"), ("tuning?slider=2", "slider"), ("replay?target_c=warm", "target_c"),
     ("replay?target_c=121:600", "target_c"), ("replay?vent_top=3", "vent_top"),
     ("replay?kp=9&ti_s=600&td_s=0&b=1", "gains")],
)  # fmt: skip
def test_a_bad_question_is_refused_by_name(tuned: Host, query: str, what: str) -> None:
    answer = tuned.http.get(f"/api/cooks/1/{query}")
    assert answer.status_code == 400
    assert answer.json()["error"]["what"].startswith(what)


def sent_gains(host: Host) -> list[dict[str, Any]]:
    return [args for name, args in host.orders.sent if name == "gains"]


def post(host: Host, path: str, body: dict[str, Any]) -> httpx.Response:
    return host.http.post(f"/api/cooks/1/{path}", json=body)


def test_what_was_not_looked_at_or_hunts_is_not_sent_without_the_persons_words(tuned: Host) -> None:
    before = len(sent_gains(tuned))
    wild = {"kp": 0.19, "ti_s": 120.0, "td_s": 0.0, "b": 1.0}
    answer = post(tuned, "gains", wild)
    assert answer.status_code == 409
    assert "not been replayed" in answer.json()["error"]["what"]
    query = "&".join(f"{name}={value}" for name, value in wild.items())
    assert reckoned(tuned, f"/api/cooks/1/replay?{query}")["choice"]["needs_insisting"]
    for words in ("", "yes", INSIST.upper()):
        answer = post(tuned, "gains", {**wild, "insist": words})
        assert answer.status_code == 409
        assert "over 2" in answer.json()["error"]["what"]
    assert len(sent_gains(tuned)) == before
    assert post(tuned, "gains", {**wild, "insist": INSIST}).json()["gains"] == wild
    assert sent_gains(tuned)[-1] == wild


def test_one_press_goes_back_to_what_was_in_force_before(tuned: Host) -> None:
    assert post(tuned, "gains/back", {}).json()["gains"] == OLD
    assert sent_gains(tuned)[-1] == OLD


def test_gains_for_another_cooker_are_not_sent(tuned: Host, tmp_path: Path) -> None:
    cook_id = tuned.store.begin_cook("shed", "elsewhere", None, START_S)
    tuned.store.add_tuning("shed", START_S - 900.0, OLD)
    tuned.store.add_tuning("shed", START_S - 60.0, NOW)
    answer = tuned.http.post(f"/api/cooks/{cook_id}/gains/back", json={})
    assert answer.status_code == 409
    assert "shed" in answer.json()["error"]["what"]


def test_a_cook_that_teaches_nothing_is_refused_in_words(tuned: Host) -> None:
    cook_id = tuned.store.begin_cook("kitchen", "short", None, START_S)
    tuned.store.add_records("kitchen", "k1", [reading(k, mode="hold") for k in range(120)])
    answer = tuned.http.get(f"/api/cooks/{cook_id}/tuning", timeout=CAP_S)
    assert answer.status_code == 409
    assert "too short" in answer.json()["error"]["what"]


@pytest.mark.parametrize(("size", "theme"), [(DESK, "light"), (PHONE, "dark")], ids=["desk", "phone"])
def test_a_person_looks_tries_and_sends(tuned: Host, chromium: Any, size: tuple[int, int], theme: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    visit = Visit(chromium, tuned.server.url, size, theme)
    page = visit.page
    page.set_default_timeout(3000.0 * CAP_S)
    page.goto(f"{tuned.server.url}cooks/1/tuning?rule=simc&slider=0.5")
    page.wait_for_selector("#table td >> nth=3")
    assert page.input_value("#slide") == "0.5"
    assert page.evaluate(SHIFT) < 0.02, page.evaluate(MOVED)
    assert page.evaluate(WIDER) <= 0
    assert page.evaluate(SMALL) == []
    page.click("#own summary")
    page.fill("#own-form [name=kp]", "19")
    page.fill("#own-form [name=ti_s]", "150")
    page.click("#own-form button")
    page.wait_for_selector("#send >> text=over 2")
    assert page.inner_text("#table th >> nth=2") == "tried"
    go = page.locator("#send button").first
    assert go.is_disabled()
    page.fill("#send input", INSIST)
    assert go.is_enabled()
    go.click()
    page.click("dialog .main")
    page.wait_for_selector("#result >> text=sent")
    assert sent_gains(tuned)[-1]["kp"] == 0.19
    page.click("#relay summary")
    page.wait_for_selector("#relay-told >> text=None in this cook.")
    page.click("#past summary")
    assert page.locator("#history tbody tr").count() == 2
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    visit.close()
