"""The host's offset from UTC: its sign, its half hours, and summer time (the IANA time zone data base's rules)."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest

from emberdraft.web.api import utc_offset_s

WINTER_S = datetime(2026, 1, 15, 12, tzinfo=UTC).timestamp()
SUMMER_S = datetime(2026, 7, 15, 12, tzinfo=UTC).timestamp()


@pytest.fixture
def live_in(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    def move(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield move
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("zone", "winter_h", "summer_h"),
    [("UTC", 0.0, 0.0), ("Asia/Kolkata", 5.5, 5.5), ("America/New_York", -5.0, -4.0), ("Australia/Sydney", 11.0, 10.0)],
)
def test_it_is_east_of_greenwich_that_clocks_are_ahead(
    live_in: Callable[[str], None], zone: str, winter_h: float, summer_h: float
) -> None:
    live_in(zone)
    assert (utc_offset_s(WINTER_S), utc_offset_s(SUMMER_S)) == (3600 * winter_h, 3600 * summer_h)
