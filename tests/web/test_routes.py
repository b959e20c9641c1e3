"""Each route from outside: its status, its method, its headers, its one error shape."""

from __future__ import annotations

import csv
import io
import json
import sys

import httpx
import pytest
from starlette.routing import Route

from emberdraft.web.app import ROUTES, create_app
from emberdraft.web.kept import Kept
from emberdraft.web.server import PageServer
from tests.waiting import CAP_S
from tests.web.conftest import FINISHED, RUNNING, Kitchen
from tests.web.kitchen import UNPLUGGED_S

PAGES = ("/", "/plans", "/cooks", f"/cooks/{FINISHED}", f"/cooks/{RUNNING}", f"/cooks/{FINISHED}/tuning", "/health")
PAGES += ("/trials", "/brine", "/kitchen")
READS = (
    *("/api/now", "/api/cooks", f"/api/cooks/{FINISHED}", f"/api/cooks/{FINISHED}/strip"),
    *(f"/api/cooks/{FINISHED}/figures", "/api/health", "/api/plans", "/api/plans/hold", "/api/trials", "/api/brine"),
)
OF_PLANS = ("/api/plans/check", "/api/plans/save", "/api/plans/start", "/api/plans/end")
OF_BEGIN = ("/api/plans/form", "/api/plans/when")
OF_TASTING = ("/api/tastings/{tasting_id:row}/seat", "/api/tastings/{tasting_id:row}/answer")
BRING = "/api/cooks/import"
OF_TUNING = ("/api/cooks/{cook_id:row}/gains", "/api/cooks/{cook_id:row}/gains/back")
ACTS = ("/api/mark", "/api/undo", "/api/answer", "/api/command", "/api/foresee")
OF_CALLS = ("/api/notices/test", "/api/notices/settings", "/api/notices/reached")


def error_of(answer: httpx.Response) -> dict[str, object]:
    assert answer.headers["content-type"] == "application/json"
    body = answer.json()
    assert list(body) == ["error"]
    assert list(body["error"]) == ["what", "value", "right"]
    assert body["error"]["what"]
    return body["error"]


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_html_and_never_kept(shared: Kitchen, path: str) -> None:
    answer = shared.http.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/html")
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("path", READS)
def test_a_read_is_json(shared: Kitchen, path: str) -> None:
    answer = shared.http.get(path)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/json"
    assert isinstance(answer.json(), dict)


@pytest.mark.parametrize("path", [*PAGES, *READS, "/api/nothing"])
def test_every_answer_carries_the_security_headers(shared: Kitchen, path: str) -> None:
    headers = shared.http.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["x-frame-options"] == "DENY"
    assert headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize("path", ACTS)
def test_nothing_is_written_by_get(shared: Kitchen, path: str) -> None:
    answer = shared.http.get(path)
    assert answer.status_code == 405
    assert error_of(answer)["right"] == "POST"
    assert (shared.marks(), shared.orders) == ([], [])


def length_s(kitchen: Kitchen) -> int:
    """Of the finished cook, from the second after its beginning to that of its end: one reading each."""
    cook = kitchen.store.cook(FINISHED)
    return round(cook["end_s"] - cook["start_s"])


OF_ROWS = [route for route in ROUTES if ":row}" in route.path]


@pytest.mark.parametrize("route", OF_ROWS, ids=lambda route: route.path)
def test_an_id_that_is_too_large_for_the_record_is_no_such_thing(shared: Kitchen, route: Route) -> None:
    head, _, rest = route.path.partition("{")
    for digits in (18, 19, 5000):
        path = head + "9" * digits + rest.partition("}")[2]
        answer = shared.post(path, {}) if "POST" in (route.methods or ()) else shared.http.get(path)
        assert answer.status_code == 404 or (digits == 18 and answer.status_code < 500)
        assert answer.status_code == 200 or error_of(answer)


@pytest.mark.parametrize("path", ["/api/now", "/api/cooks", "/", "/cooks"])
def test_a_read_is_not_posted_to(shared: Kitchen, path: str) -> None:
    answer = shared.post(path, {})
    assert answer.status_code == 405
    error_of(answer)


def test_every_route_that_writes_is_post_only() -> None:
    writing = {route.path for route in ROUTES if "POST" in (route.methods or ())}
    assert writing == {*ACTS, *OF_CALLS, *OF_PLANS, *OF_BEGIN, *OF_TUNING, *OF_TASTING, BRING, "/api/trials/do"}
    assert all(route.methods == {"POST"} for route in ROUTES if route.path in writing)


@pytest.mark.parametrize("rest", ["", "/strip", "/figures", "/export.csv"])
def test_a_number_too_large_for_the_record_is_no_cook(shared: Kitchen, rest: str) -> None:
    answer = shared.http.get(f"/api/cooks/{'9' * 30}{rest}")
    assert answer.status_code == 404
    error_of(answer)


@pytest.mark.parametrize("path", ["/nowhere", "/api/nowhere", "/cooks/999", "/api/cooks/999", "/api/cooks/999/strip"])
def test_what_is_not_there_says_so(shared: Kitchen, path: str) -> None:
    answer = shared.http.get(path)
    assert answer.status_code == 404
    error_of(answer)


def test_an_unknown_cook_is_named_in_the_refusal(shared: Kitchen) -> None:
    error = error_of(shared.http.get("/api/cooks/999"))
    assert error["value"] == 999
    assert "/api/cooks" in str(error["right"])


@pytest.mark.parametrize(
    ("query", "what"),
    [
        ("points=many", "points"),
        ("points=1", "points"),
        ("points=1e9", "points"),
        ("from=nan", "from"),
        ("from=5&to=4", "to"),
        ("to=inf", "to"),
        ("traces=pit_c,colour", "traces"),
    ],
)
def test_a_bad_query_is_refused_by_name(shared: Kitchen, query: str, what: str) -> None:
    answer = shared.http.get(f"/api/cooks/{FINISHED}/strip?{query}")
    assert answer.status_code == 400
    error = error_of(answer)
    assert str(error["what"]).startswith(f"{what}:")
    assert error["right"]


def test_the_state_carries_the_hosts_clock(shared: Kitchen) -> None:
    state = shared.http.get("/api/now").json()
    assert state["now_s"] == shared.clock.at_s
    assert state["speed"] == 1.0
    assert isinstance(state["utc_offset_s"], int)


def test_a_strip_is_about_as_long_as_asked(shared: Kitchen) -> None:
    columns = shared.http.get(f"/api/cooks/{FINISHED}/strip?points=400").json()["columns"]
    assert 300 <= len(columns["t"]) <= 500
    assert {len(column) for column in columns.values()} == {len(columns["t"])}


def test_a_zoomed_strip_gives_every_reading(shared: Kitchen) -> None:
    whole = shared.http.get(f"/api/cooks/{FINISHED}/strip?points=400").json()
    start_s = whole["from"]
    part = shared.http.get(f"/api/cooks/{FINISHED}/strip?from={start_s}&to={start_s + 120}&points=400").json()
    steps = {round(b - a, 3) for a, b in zip(part["columns"]["t"], part["columns"]["t"][1:], strict=False)}
    assert steps == {1.0}


def test_a_strip_may_be_asked_for_some_traces(shared: Kitchen) -> None:
    answer = shared.http.get(f"/api/cooks/{FINISHED}/strip?points=100&traces=stone_c").json()
    assert list(answer["columns"]) == ["t", "stone_c"]


def test_what_is_worked_out_of_a_finished_cook_is_kept_and_of_a_running_one_is_not() -> None:
    kept, asked = Kept(2), []
    for cook in ({"id": 1, "end_s": 5.0}, {"id": 2, "end_s": None}):
        for _ in range(2):
            assert kept.answer(cook, "figures", lambda cook=cook: asked.append(cook["id"]) or cook["id"]) == cook["id"]
    assert asked == [1, 2, 2]
    for question in ("a", "b", "c"):
        kept.answer({"id": 1, "end_s": 5.0}, question, lambda: 0)
    assert kept.answer({"id": 1, "end_s": 5.0}, "figures", lambda: "anew") == "anew"


def test_a_stop_of_the_blower_is_told_with_its_moments(shared: Kitchen) -> None:
    stops = shared.http.get(f"/api/cooks/{FINISHED}/strip").json()["stops"]
    row = next(row for row in shared.store.alarms(FINISHED) if row["kind"] == "pause")
    assert stops == [[row["at_s"], row["cleared_s"]]]
    assert UNPLUGGED_S[1] - UNPLUGGED_S[0] <= stops[0][1] - stops[0][0] <= 120.0  # and until it was acknowledged


def test_the_csv_has_one_line_a_reading(shared: Kitchen) -> None:
    answer = shared.http.get(f"/api/cooks/{FINISHED}/export.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert f"cook-{FINISHED}.csv" in answer.headers["content-disposition"]
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert len(rows) == length_s(shared)
    assert float(rows[5000]["pit_c"]) > 100.0


def test_the_json_export_is_whole(shared: Kitchen) -> None:
    answer = shared.http.get(f"/api/cooks/{FINISHED}/export.json")
    whole = json.loads(answer.text)
    assert whole["cook"]["id"] == FINISHED
    assert len(whole["readings"]) == length_s(shared)


def test_csv_and_its_rest_come_back_as_one_cook(kitchen: Kitchen) -> None:
    text, rest = (kitchen.http.get(f"/api/cooks/{FINISHED}/export.{form}") for form in ("csv", "rest.json"))
    assert f"cook-{FINISHED}.rest.json" in rest.headers["content-disposition"]
    body = {
        "file": "supper.csv",
        "text": text.text.replace("garden", "shed"),
        "rest": rest.text.replace("garden", "shed"),
    }
    made = kitchen.http.post("/api/cooks/import", json=body, timeout=CAP_S)
    assert made.status_code == 200, made.text
    was, again = (kitchen.http.get(f"/api/cooks/{cook_id}").json() for cook_id in (FINISHED, made.json()["cook_id"]))
    assert [m["kind"] for m in again["marks"]] == [m["kind"] for m in was["marks"]] != []


def test_parquet_is_offered_where_it_can_be_made(shared: Kitchen, monkeypatch: pytest.MonkeyPatch) -> None:
    path = f"/api/cooks/{FINISHED}"
    assert shared.http.get(path).json()["exports"] == ["csv", "json", "parquet"]
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert shared.http.get(path).json()["exports"] == ["csv", "json"]


def test_a_page_may_not_be_read_under_a_foreign_name(shared: Kitchen) -> None:
    answer = shared.http.get("/api/now", headers={"host": "elsewhere.example"})
    assert answer.status_code == 421
    assert error_of(answer)["value"] == "elsewhere.example"


def test_another_site_may_link_but_not_fetch(shared: Kitchen) -> None:
    """Nor another service of this computer: a page at another port is of the same site (Fetch metadata, W3C)."""
    for site in ("cross-site", "same-site"):
        other = {"sec-fetch-site": site}
        assert shared.http.get("/", headers={**other, "sec-fetch-mode": "navigate"}).status_code == 200
        with shared.http.stream("GET", "/api/stream", headers={**other, "sec-fetch-mode": "cors"}) as answer:
            assert answer.status_code == 403
            answer.read()
        error_of(answer)
    own = {"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors"}
    assert shared.http.get("/api/now", headers=own).status_code == 200


def test_a_page_names_its_static_files_by_their_digest(shared: Kitchen) -> None:
    text = shared.http.get("/").text
    address = text.split('<script type="module" src="')[1].split('"')[0]
    answer = shared.http.get(address)
    assert answer.status_code == 200
    assert "immutable" in answer.headers["cache-control"]


def test_the_unit_of_the_settings_is_the_pages_until_a_person_chooses(kitchen: Kitchen) -> None:
    assert 'data-unit="C"' in kitchen.http.get("/").text
    other = PageServer(create_app(kitchen.service, kitchen.store, unit="f")).start()
    assert 'data-unit="F"' in httpx.get(other.url).text
    other.stop()


def test_data_in_a_page_cannot_end_its_script(kitchen: Kitchen) -> None:
    kitchen.post("/api/mark", {"kind": "note", "text": "</script><b>"})
    text = kitchen.http.get("/").text
    assert "</script><b>" not in text
    assert "\\u003c/script>" in text
