"""The board's own book of alarms: every state x event, the states being those of ISA-18.2 that a board can have."""

from __future__ import annotations

import pytest

from emberboard.core.alerts import AlertBook

KINDS = ("pause", "trip", "notice")
STATES = ("normal", "unacknowledged", "acknowledged", "returned")
EVENTS = ("raise", "clear", "acknowledge")

# From (state, event) to the state after it; a trip that is acknowledged while its cause lasts goes when the cause goes.
AFTER = {
    ("normal", "raise"): "unacknowledged",
    ("normal", "clear"): "normal",
    ("normal", "acknowledge"): "normal",
    ("unacknowledged", "raise"): "unacknowledged",
    ("unacknowledged", "clear"): "returned",
    ("unacknowledged", "acknowledge"): "acknowledged",
    ("acknowledged", "raise"): "acknowledged",
    ("acknowledged", "clear"): "normal",
    ("acknowledged", "acknowledge"): "acknowledged",
    ("returned", "raise"): "unacknowledged",
    ("returned", "clear"): "returned",
    ("returned", "acknowledge"): "normal",
}
ROUTES = {
    "normal": (),
    "unacknowledged": ("raise",),
    "acknowledged": ("raise", "acknowledge"),
    "returned": ("raise", "clear"),
}


def do(book: AlertBook, event: str, kind: str) -> None:
    if event == "raise":
        book.put("runaway", kind, 151.0, 150.0, 1000)
    elif event == "clear":
        book.over("runaway")
    else:
        book.acknowledge("runaway")


def state_of(book: AlertBook) -> str:
    alert = book.alerts.get("runaway")
    if alert is None:
        return "normal"
    if alert.acknowledged:
        return "acknowledged"
    return "unacknowledged" if alert.active else "returned"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("event", EVENTS)
def test_every_state_and_event(kind: str, state: str, event: str):
    told: list[tuple[object, ...]] = []
    book = AlertBook(lambda *row: told.append(row))
    for step in ROUTES[state]:
        do(book, step, kind)
    assert state_of(book) == state
    told.clear()
    do(book, event, kind)
    after = AFTER[(state, event)]
    assert state_of(book) == after
    said = {row[0] for row in told}
    assert ("alert" in said) == (state == "normal" and event == "raise")
    assert ("alert_clear" in said) == (state != "normal" and after == "normal")
    assert ("acknowledged" in said) == (state != "normal" and event == "acknowledge")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("state", STATES)
def test_what_stops_the_air_in_each_state(kind: str, state: str):
    book = AlertBook(lambda *row: None)
    for step in ROUTES[state]:
        do(book, step, kind)
    by_kind = {"notice": False, "trip": state != "normal", "pause": state in ("unacknowledged", "acknowledged")}
    assert book.stops() == by_kind[kind]
    assert [alert.stops() for alert in book.alerts.values()] == [by_kind[kind]] * (state != "normal")
    assert book.unheard() == (state in ("unacknowledged", "returned"))
    assert book.latched() == (["runaway"] if kind == "trip" and state != "normal" else [])


def test_a_cause_that_comes_back_after_an_acknowledgement_calls_again():
    told: list[tuple[object, ...]] = []
    book = AlertBook(lambda *row: told.append(row))
    book.put("pull", "notice", 57.0, 57.0, 1000)
    book.over("pull")
    alert = book.alerts["pull"]
    alert.acknowledged = True
    book.put("pull", "notice", 58.0, 57.0, 9000)
    assert (alert.acknowledged, alert.value, alert.since_ms) == (False, 58.0, 9000)
    assert told[-1] == ("alert", 58.0, 57.0, "pull")


def test_a_notice_whose_cause_ends_by_itself_can_go_without_a_word():
    book = AlertBook(lambda *row: None)
    do(book, "raise", "notice")
    book.over("runaway", keep=False)
    assert book.alerts == {}


def test_all_acknowledges_every_one_and_a_strange_name_raises_nothing():
    book = AlertBook(lambda *row: None)
    for name in ("pull", "runaway", "no alert of ours"):
        book.put(name, "trip", None, None, 0)
    assert set(book.alerts) == {"pull", "runaway"}
    assert book.acknowledge("all")
    assert not book.unheard()
    assert not book.acknowledge("no alert of ours")
    assert not AlertBook(lambda *row: None).acknowledge("all")
