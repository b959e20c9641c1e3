"""What a person does on the page arrives at the service, and what is wrong is refused in one shape."""

from __future__ import annotations

import pytest

from emberdraft.said import render
from tests.web.conftest import RUNNING, Kitchen
from tests.web.test_routes import error_of


def test_a_mark_arrives_with_all_that_belongs_to_it(kitchen: Kitchen) -> None:
    answer = kitchen.post("/api/mark", {"kind": "vent_top", "value": 0.5, "text": "hot", "minutes_ago": 2})
    assert answer.status_code == 200
    assert kitchen.marks() == [("vent_top", 0.5, "hot")]
    assert kitchen.store.marks(RUNNING)[-1]["at_s"] == kitchen.clock.at_s - 120.0
    assert answer.json()["last"]["text"] == "Top vent 1/2 marked"


def test_an_undo_takes_the_mark_back(kitchen: Kitchen) -> None:
    last = kitchen.post("/api/mark", {"kind": "fuel"}).json()["last"]
    assert kitchen.marks() == [("fuel", None, "")]
    assert kitchen.post("/api/undo", last["undo"]).status_code == 200
    assert kitchen.marks() == []


def test_a_prompt_is_answered(kitchen: Kitchen) -> None:
    prompt = kitchen.http.get("/api/now").json()["next"]
    assert kitchen.post("/api/answer", {"prompt_id": prompt["id"]}).status_code == 200
    assert kitchen.http.get("/api/now").json()["next"] is None
    assert [kind for kind, _, _ in kitchen.marks()] == ["pulled"]
    assert kitchen.orders == [("pulled", {"index": 0})]


def test_a_command_carries_its_arguments(kitchen: Kitchen) -> None:
    assert kitchen.post("/api/command", {"name": "target", "args": {"target_c": 112.0}}).status_code == 200
    kitchen.pass_s()
    kitchen.pass_s()
    assert kitchen.board.controller.target_c == 112.0
    assert kitchen.http.get("/api/now").json()["phase"]["target_c"] == 112.0


def test_what_the_service_refuses_is_said_in_its_words(kitchen: Kitchen) -> None:
    answer = kitchen.post("/api/command", {"name": "target", "args": {"target_c": 140.0}})
    assert answer.status_code == 409
    assert "at the cooker" in str(error_of(answer)["what"])
    assert kitchen.orders == []


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/api/mark", {}),
        ("/api/mark", {"kind": 5}),
        ("/api/mark", {"kind": "note", "minutes_ago": -1}),
        ("/api/mark", {"kind": "note", "text": "x" * 501}),
        ("/api/mark", {"kind": "note", "colour": "red"}),
        ("/api/mark", []),
        ("/api/undo", {"mark": 3}),
        ("/api/answer", {"prompt_id": "pull-a", "at_cooker": "yes"}),
        ("/api/command", {"args": {}}),
        ("/api/command", {"name": "snooze", "args": {"warmer": True}}),
    ],
)
def test_a_wrong_body_is_refused_and_changes_nothing(kitchen: Kitchen, path: str, body: object) -> None:
    answer = kitchen.post(path, body)
    assert answer.status_code == 400
    assert error_of(answer)["right"]
    assert (kitchen.marks(), kitchen.orders) == ([], [])


@pytest.mark.parametrize(
    ("body", "word"),
    [({"name": "target", "args": {"warmer": True}}, "warmer"), ({"name": "fly"}, "fly")],
)
def test_a_command_that_is_none_is_refused_in_the_services_words(kitchen: Kitchen, body: object, word: str) -> None:
    answer = kitchen.post("/api/command", body)
    assert answer.status_code == 409
    assert word in str(error_of(answer)["what"])
    assert (kitchen.marks(), kitchen.orders) == ([], [])


def test_a_body_that_is_not_json_is_refused(kitchen: Kitchen) -> None:
    answer = kitchen.http.post("/api/mark", content=b"{kind", headers={"content-type": "application/json"})
    assert answer.status_code == 400
    error_of(answer)


def test_a_body_that_is_too_long_is_refused(kitchen: Kitchen) -> None:
    body = b'{"kind": "' + b"x" * 20_000 + b'"}'
    answer = kitchen.http.post("/api/mark", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 413
    error_of(answer)
    assert (kitchen.marks(), kitchen.orders) == ([], [])


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_a_change_from_another_site_is_refused(kitchen: Kitchen, headers: dict[str, str]) -> None:
    answer = kitchen.http.post("/api/command", json={"name": "bank"}, headers=headers)
    assert answer.status_code == 403
    error_of(answer)
    assert (kitchen.marks(), kitchen.orders) == ([], [])


def test_a_form_of_another_site_is_refused(kitchen: Kitchen) -> None:
    answer = kitchen.http.post("/api/command", content=b'{"name": "bank"}', headers={"content-type": "text/plain"})
    assert answer.status_code == 415
    error_of(answer)
    assert (kitchen.marks(), kitchen.orders) == ([], [])


def test_a_change_from_the_page_itself_is_taken(kitchen: Kitchen) -> None:
    own = {"origin": kitchen.url.rstrip("/"), "sec-fetch-site": "same-origin"}
    assert kitchen.http.post("/api/command", json={"name": "bank"}, headers=own).status_code == 200
    assert ("bank", "bank") in [(args.get("mode"), args.get("phase")) for _, args in kitchen.orders]


def test_a_fault_in_the_service_is_told_in_the_same_shape(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken() -> None:
        raise RuntimeError("a fault of ours")

    monkeypatch.setattr(kitchen.service, "now", broken)
    answer = kitchen.http.get("/api/now")
    assert answer.status_code == 500
    assert "fault of ours" not in answer.text
    error_of(answer)
    assert "a fault of ours" in caplog.text


def test_a_test_notice_says_how_it_went(kitchen: Kitchen) -> None:
    assert kitchen.post("/api/notices/test", {}).json() == {"text": "Test notice sent by webhook"}
    kitchen.postbox.open = False
    answer = kitchen.post("/api/notices/test", {})
    assert answer.status_code == 409
    assert "nobody there" in str(error_of(answer)["what"])
    assert kitchen.post("/api/notices/test", {"url": "http://elsewhere"}).status_code == 400
    assert kitchen.http.get("/api/notices/test").status_code == 405


@pytest.mark.parametrize("kind", ["pause", "trip", "notice"])
@pytest.mark.parametrize("over", [False, True])
def test_an_acknowledgement_that_never_came_to_the_board_can_be_given_again(
    kitchen: Kitchen, kind: str, over: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Seen before: the page called it acknowledged and had no button left, the board stood stopped for ever.
    kitchen.provoke(kind)
    if over:
        kitchen.board.faults = {}
        kitchen.pass_s(40)
    with monkeypatch.context() as gone:
        gone.setattr(kitchen.ingest._line, "publish", lambda *_said: None)  # taken by the network, and lost
        assert kitchen.post("/api/command", {"name": "acknowledge", "args": {}}).status_code == 200
        for _ in range(20):
            kitchen.pass_s()
    unheard = [name for name, alert in kitchen.board.controller.alerts.items() if not alert.acknowledged]
    for _ in range(40):
        kitchen.pass_s()
    shown = {a["id"]: a["state"] for a in kitchen.service.now()["alarms"]}
    assert unheard and all(shown[name] in ("unacknowledged", "returned") for name in unheard)
    kitchen.acknowledge()
    kitchen.pass_s(2)
    assert all(alert.acknowledged for alert in kitchen.board.controller.alerts.values())


def test_one_that_came_to_the_board_is_asked_for_once(kitchen: Kitchen) -> None:
    kitchen.provoke("pause")
    kitchen.acknowledge()
    for _ in range(90):
        kitchen.pass_s()
    assert {a["state"] for a in kitchen.service.now()["alarms"]} == {"acknowledged"}
    rows = [row for row in kitchen.store.alarms(RUNNING) if row["alert"] == "pit_sensor"]
    assert len(rows) == 1


def test_of_a_piece_that_is_past_its_pull_the_ledger_says_to_pull_it(kitchen: Kitchen) -> None:
    # Seen before: "57 °C cannot say yet" beside a core of 62.6.
    row = next(row for row in kitchen.service.now()["ledger"] if row["key"] == "core1")
    assert row["value"] >= 57.0
    assert render(row["heading"]) == "past 57\u00a0°C: pull it"
