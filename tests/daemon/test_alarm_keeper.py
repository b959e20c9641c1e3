"""Alarms over a restart of the host: what stood stands again, and what was snoozed stays so until its end."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from emberdraft.daemon.alarm_keeper import AlarmKeeper
from emberdraft.store import Store

NOON_S = 1.7e9


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path / "cooks.sqlite") as fresh:
        yield fresh


class Host:
    """A keeper over a store, as a start of the host makes it."""

    def __init__(self, store: Store, cook_id: int) -> None:
        self.keeper = AlarmKeeper(store, "yard")
        self.keeper.resume(cook_id)

    def states(self, second: int) -> dict[str, str]:
        """Each alarm's state so long after noon."""
        self.keeper.tick(NOON_S + second)
        return {row["id"]: row["state"] for row in self.keeper.rows(NOON_S + second, None)}


def test_a_snooze_outlasts_a_restart_and_ends_when_it_would_have(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, NOON_S)
    host = Host(store, cook_id)
    host.keeper.from_board("supply_low", {"kind": "notice", "value": 10.9, "limit": 11.0}, NOON_S, cook_id)
    assert host.states(9) == {"supply_low": "unacknowledged"}
    host.keeper.snooze(NOON_S + 10.0, "supply_low", 10.0)
    again = Host(store, cook_id)
    assert [again.states(second) for second in (60, 609)] == [{"supply_low": "shelved"}] * 2
    assert again.states(610) == {"supply_low": "unacknowledged"}


def test_an_acknowledgement_and_a_standing_alarm_outlast_a_restart(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, NOON_S)
    host = Host(store, cook_id)
    for alert in ("supply_low", "stone_sensor"):
        host.keeper.from_board(alert, {"kind": "notice"}, NOON_S, cook_id)
    host.keeper.acknowledge(NOON_S + 1.0, "stone_sensor")
    assert Host(store, cook_id).states(2) == {"supply_low": "unacknowledged", "stone_sensor": "acknowledged"}


def test_what_the_host_itself_watches_is_said_as_it_is_now(store: Store) -> None:
    """Seen before: food kept cold "for 1 h 30 min", said for hours."""
    cook_id = store.begin_cook("yard", "supper", None, NOON_S)
    keeper = Host(store, cook_id).keeper
    keeper.own("food_unsafe", (5400.0, 60.0), NOON_S, cook_id)
    keeper.own("food_unsafe", (7200.0, 60.0), NOON_S + 1800.0, cook_id)
    said = str(keeper.rows(NOON_S + 1800.0, None)[0]["cause"])
    assert said == "Food has been kept below 60\u00a0°C for 2\u00a0h 00\u00a0min"
