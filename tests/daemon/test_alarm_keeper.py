"""Alarms over a restart of the host: what stood stands again, and what was snoozed stays so until its end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.daemon.alarm_keeper import AlarmKeeper
from emberdraft.store import Store

NOON_S = 1.7e9


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "cooks.sqlite") as fresh:
        yield fresh


class Host:
    """A keeper over a store, and what it told."""

    def __init__(self, store: Store, cook_id: int) -> None:
        self.told: list[tuple[float, str]] = []
        self.keeper = AlarmKeeper(store, "yard", self._notice)
        self.keeper.resume(cook_id)

    def _notice(self, kind: str, title: str, text: str, at_s: float, again: int) -> None:
        self.told.append((at_s - NOON_S, kind))

    def seconds(self, first: int, last: int) -> list[float]:
        """Tick each second from noon on; the seconds in which it told somebody."""
        self.told.clear()
        for t in range(first, last + 1):
            self.keeper.tick(NOON_S + t)
        return [at_s for at_s, _ in self.told]


def test_a_snooze_outlasts_a_restart_and_ends_when_it_would_have(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, NOON_S)
    host = Host(store, cook_id)
    host.keeper.from_board("supply_low", {"kind": "notice", "value": 10.9, "limit": 11.0}, NOON_S, cook_id)
    assert host.seconds(0, 9) == [0.0]
    host.keeper.snooze(NOON_S + 10.0, "supply_low", 10.0)
    again = Host(store, cook_id)
    assert [row["state"] for row in again.keeper.rows()] == ["shelved"]
    assert again.seconds(60, 609) == []
    assert again.seconds(610, 700) == [610.0]


def test_an_acknowledgement_and_a_standing_alarm_outlast_a_restart(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, NOON_S)
    host = Host(store, cook_id)
    for alert in ("supply_low", "stone_sensor"):
        host.keeper.from_board(alert, {"kind": "notice"}, NOON_S, cook_id)
    host.keeper.acknowledge(NOON_S + 1.0, "stone_sensor")
    rows: list[dict[str, Any]] = Host(store, cook_id).keeper.rows()
    assert {row["id"]: row["state"] for row in rows} == {"supply_low": "unacknowledged", "stone_sensor": "acknowledged"}
