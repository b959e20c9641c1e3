"""A whole small cook in a store, and a clock on UTC so that printed times are the same everywhere."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from emberdraft.store import Store
from tests.review.making import line
from tests.store.making import START_S, event, reading


@pytest.fixture(autouse=True)
def utc(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def _pit() -> list[float]:
    """10 min up to 120, 15 min there with a lid lift at 20 min, 5 min up to 300, 5 min down."""
    lift = line(120.0, 70.0, 50) + line(70.0, 122.0, 104) + line(122.0, 120.0, 40)
    held = [120.0] * 600 + lift + [120.0] * (300 - len(lift))
    return line(20.0, 120.0, 600) + held + line(120.0, 300.0, 300) + line(300.0, 150.0, 300)


def _row(k: int, pit_c: float) -> dict[str, Any]:
    core_c = None if k < 660 else 10.0 + min(k - 660, 600) * 0.09
    phase = "light" if k < 600 else "slow" if k < 1500 else "climb" if k < 1800 else "bank"
    row = reading(k, pit_c=pit_c, stone_c=pit_c - 10.0, core_c=[core_c], core_fault=["" if core_c else "open"])
    air = {"light": 1.0, "slow": 0.25, "climb": 1.0, "bank": 0.0}[phase]
    return row | {"phase": phase, "target_c": 120.0, "duty": air, "lid_open": 1200 <= k < 1250}


@pytest.fixture
def cook(store: Store) -> int:
    """The id of a finished cook of 35 min with every part once."""
    plan_id = store.add_plan("version = 1\n", "supper")
    cook_id = store.begin_cook("yard", "supper", plan_id, START_S, invented=True)
    rows = [_row(k, pit_c) for k, pit_c in enumerate(_pit()) if not 700 <= k < 720]
    store.add_records("yard", "b1", [*rows, event(9000, "lid_open", at_s=START_S + 1200)])
    for name, start, target_c in (
        ("light", 0, 120.0),
        ("slow", 600, 120.0),
        ("climb", 1500, 280.0),
        ("bank", 1800, None),
    ):
        store.add_phase(cook_id, START_S + start, name, target_c)
    piece_id = store.add_piece(cook_id, "A", "thick chop", 0, 57.0, rest_c=63.0)
    store.update_piece(piece_id, on_s=START_S + 660.0, pulled_s=START_S + 1210.0)
    store.add_mark(cook_id, START_S + 1205.0, "pulled", text="A")
    alarm_id = store.raise_alarm("yard", cook_id, START_S + 1190.0, "pull", "pull", "raised", cause="A is at 57 °C")
    store.update_alarm(alarm_id, state="cleared", cleared_s=START_S + 1210.0)
    store.add_tuning("yard", START_S, {"kp": 0.02}, None)
    store.end_cook(cook_id, START_S + 2100.0, "plan")
    return cook_id


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cooks.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with Store(path) as fresh:
        yield fresh
