"""The live stream: thinned without losing a peak, coalesced, and ended by the server's stop."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from emberdraft.web.hub import PERIOD_S, as_columns, thinned
from emberdraft.web.sse import changed
from tests.web.conftest import Kitchen


def rows(*pit_c: float | None) -> list[dict[str, Any]]:
    return [{"at_s": float(i), "pit_c": value} for i, value in enumerate(pit_c)]


@pytest.mark.parametrize(
    ("pit_c", "kept"),
    [
        ((), []),
        ((120.0,), [0]),
        ((120.0, 50.0, 121.0, 160.0, 119.0), [1, 3, 4]),
        ((None, None, None), [2]),
        ((None, 60.0, None), [1, 2]),
    ],
)
def test_thinning_keeps_the_newest_the_lowest_and_the_highest(pit_c: tuple[float | None, ...], kept: list[int]) -> None:
    assert [row["at_s"] for row in thinned(rows(*pit_c))] == kept


def test_a_reading_is_named_as_the_strips_columns() -> None:
    row = as_columns({"at_s": 5.0, "pit_c": 120.0, "core_c": [57.0, None], "boot": "b5e1", "duty": 0.2})
    assert (row["core1_c"], row["core2_c"], row["pit_c"]) == (57.0, None, 120.0)
    assert "boot" not in row


def test_only_what_changed_is_sent() -> None:
    assert changed({"a": 1, "b": [1]}, {"a": 1, "b": [2], "c": None}) == {"b": [2], "c": None}


def events(answer: httpx.Response) -> Iterator[tuple[str, Any]]:
    name = ""
    for line in answer.iter_lines():
        if line.startswith("event: "):
            name = line[7:]
        elif line.startswith("data: "):
            yield name, json.loads(line[6:])


def rows_of(seen: list[tuple[str, Any]]) -> list[float]:
    """Times of all rows that came."""
    return [row["at_s"] for name, data in seen if name == "rows" for row in data]


def test_a_stream_begins_with_the_whole_state(shared: Kitchen) -> None:
    with shared.http.stream("GET", "/api/stream") as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        assert answer.headers["cache-control"] == "no-store"
        name, state = next(events(answer))
    assert name == "now"
    assert state["sentence"] and state["ledger"] and state["utc_offset_s"] is not None


def test_sixty_rows_a_second_become_a_few_events(kitchen: Kitchen) -> None:
    """At most four events of each kind a second, at most three rows in one, the newest among them."""
    got: list[list[float]] = []
    states = 0
    with kitchen.http.stream("GET", "/api/stream") as answer:
        began, coming = time.monotonic(), events(answer)
        next(coming)
        last_s = kitchen.clock.at_s + 60.0
        feeder = threading.Thread(target=lambda: [kitchen.pass_s() or time.sleep(1 / 60) for _ in range(60)])
        feeder.start()
        while not got or got[-1][-1] < last_s:
            name, data = next(coming)
            states += name == "now"
            got += [[row["at_s"] for row in data]] if name == "rows" else []
        took_s = time.monotonic() - began
        feeder.join()
    moments = [at_s for rows_s in got for at_s in rows_s]
    assert moments == sorted(moments)
    assert max(map(len, got)) <= 3
    assert max(states, len(got)) <= took_s / PERIOD_S + 2


def test_a_state_that_cannot_be_made_does_not_end_the_stream(
    kitchen: Kitchen, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    with kitchen.http.stream("GET", "/api/stream") as answer:
        coming = events(answer)
        next(coming)
        whole = kitchen.service.now
        faults = iter([RuntimeError("once"), RuntimeError("twice")])

        def now() -> dict[str, Any]:
            for fault in faults:
                raise fault
            return whole()

        monkeypatch.setattr(kitchen.service, "now", now)
        while "could not be made" not in caplog.text:
            next(coming)
        assert any(name == "now" for name, _ in coming)


def test_a_stop_ends_an_open_stream(kitchen: Kitchen) -> None:
    with kitchen.http.stream("GET", "/api/stream") as answer:
        coming = events(answer)
        next(coming)
        kitchen.server.stop()
        assert all(name in ("now", "rows") for name, _ in coming)  # which ends, and is not cut off
    assert not kitchen.server._thread.is_alive()
