"""A real database with the invented cook in it twice: once finished two weeks before, once going on."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from emberdraft.store.store import Store
from tests.web import invented_cook as cook

EARLIER_S = 14 * 86400.0

PLAN = """\
# Invented: nobody has cooked this.
version = 1
name = "Two thick chops"
invented = true

[light]
target = "121C"

[soak]

[set_up]

[slow]
target = "121C"

[climb]
stone = "260C"

[sear]

[[piece]]
letter = "A"
name = "tempered chop"
probe = 0
pull = "57C"
final = "63C"

[[piece]]
letter = "B"
name = "cold chop"
probe = 1
pull = "57C"
final = "63C"
"""


def record_at(minute: float, shift_s: float = 0.0) -> dict[str, Any]:
    """One reading as a board sends it and the daemon stamps it."""
    row = cook.row_at(minute)
    ms = round(minute * 60_000.0)
    cores = [row.pop("core1_c"), row.pop("core2_c")]
    absent = {"core3_c", "core4_c"}
    kept = {key: value for key, value in row.items() if key not in absent}
    return {**kept, "at_s": row["at_s"] - shift_s, "seq": ms // 1000, "ms": ms, "core_c": cores, "late": False}


def make(path: Path, minute: float) -> tuple[Store, int]:
    """The store, and the id of the cook that has been going on for `minute` minutes."""
    store = Store(path)
    plan_id = store.add_plan(PLAN, "Two thick chops")
    before = _fill(store, plan_id, "Two thick chops, first go", cook.END_MIN, "a001", EARLIER_S)
    store.end_cook(before, cook.START_S - EARLIER_S + cook.END_MIN * 60.0, "plan done")
    return store, _fill(store, plan_id, "Two thick chops", minute, "b5e1", 0.0)


def _fill(store: Store, plan_id: int, name: str, minute: float, boot: str, shift_s: float) -> int:
    start_s = cook.START_S - shift_s
    cook_id = store.begin_cook("garden", name, plan_id, start_s, invented=True)
    store.add_records("garden", boot, [record_at(i / 60.0, shift_s) for i in range(int(minute * 60.0))])
    for phase, first, target in cook.PHASES:
        if first <= minute:
            store.add_phase(cook_id, start_s + first * 60.0, phase, target)
    for k, (letter, piece, _, pull_c, out) in enumerate(cook.PIECES):
        on_s = start_s + cook.ON_MIN * 60.0
        pulled_s = start_s + out * 60.0 if out <= minute else None
        store.add_piece(cook_id, letter, piece, k, pull_c, rest_c=63.0, on_s=on_s, pulled_s=pulled_s)
    for mark in cook.marks(minute):
        store.add_mark(cook_id, mark["at_s"] - shift_s, mark["kind"], mark["value"], mark["text"])
    _stop(store, cook_id, minute, start_s)
    store.add_tuning("garden", start_s, {"kp": 0.034, "ti_s": 300.0})
    return cook_id


def _stop(store: Store, cook_id: int, minute: float, start_s: float) -> None:
    if minute < cook.GAP[1]:
        return
    at_s, end_s = (start_s + m * 60.0 for m in cook.GAP)
    words = {"cause": "Pit probe open", "consequence": "Blower off", "action": "Check the plug"}
    alarm = store.raise_alarm("garden", cook_id, at_s, "pit_sensor", "pause", "cleared", **words)
    store.update_alarm(alarm, cleared_s=end_s, acknowledged_s=end_s + 20.0)
