"""What is in first_release.db: a database as version 0.1.0 wrote it, kept so that every later release opens it.

The file was made once by `python -m tests.store.first_release FILE` and is never made again: later releases write
other files. All that is in it is invented: ten minutes of a cook on straight lines, with each table used.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from emberdraft.store import Store

FILE = Path(__file__).with_name("first_release.db")
START_S = 1_780_000_000.0  # 2026-05-28 20:26:40 UTC
BOOT = "5eed0001"

# name, start and target, in seconds from START_S and degC
PHASES = (("light", 0, 115.0), ("slow", 120, 115.0), ("climb", 420, 270.0), ("bank", 540, None))
LID = (300, 330)
LOST = (200, 219)


def _pit_c(k: int) -> float:
    if k < 120:
        return 15.0 + k * 100.0 / 120.0
    if LID[0] <= k < LID[1]:
        return 115.0 - 2.0 * (k - LID[0])
    if k < 420:
        return 115.0
    return 115.0 + (k - 420) * 1.25 if k < 540 else 265.0 - 1.5 * (k - 540)


def _record(k: int) -> dict[str, Any]:
    phase = [name for name, start, _ in PHASES if start <= k][-1]
    target_c = [target for _, start, target in PHASES if start <= k][-1]
    core_c = None if k < 140 else round(8.0 + (k - 140) * 0.25, 2)
    return {
        "seq": k,
        "ms": 1000 * k + 40,
        "at_s": START_S + k,
        "late": 220 <= k < 230,
        "mode": {"light": "hold", "slow": "hold", "climb": "drive", "bank": "bank"}[phase],
        "phase": phase,
        "pit_c": round(_pit_c(k), 2),
        "pit_fault": "",
        "stone_c": round(0.9 * _pit_c(k), 2),
        "stone_fault": "",
        "core_c": [core_c, None],
        "core_fault": ["" if core_c is not None else "open", "open"],
        "board_c": 31.5,
        "target_c": target_c,
        "ref_c": target_c,
        "duty": {"light": 1.0, "slow": 0.25, "climb": 1.0, "bank": 0.0}[phase] * (not LID[0] <= k < LID[1]),
        "drive": 0.25,
        "opening": 0.5,
        "lid_open": LID[0] <= k < LID[1],
        "p": 0.05,
        "i": 0.2,
        "d": -0.01,
        "ff": 0.01,
        "fire": 0.8,
        "why": "lid" if LID[0] <= k < LID[1] else "steady",
    }


def _events() -> list[dict[str, Any]]:
    told = ((600, 300, "lid_open", None, None), (601, 330, "lid_shut", None, None), (602, 219, "lost", *LOST))
    return [
        {"seq": seq, "ms": 1000 * k, "at_s": START_S + k, "kind": kind, "value": value, "limit": limit, "text": ""}
        for seq, k, kind, value, limit in told
    ]


def fill(store: Store) -> None:
    """Use each table once."""
    plan_id = store.add_plan('version = 1\nname = "Two chops"\n', "Two chops")
    cook_id = store.begin_cook("garden", "Two chops", plan_id, START_S, invented=True)
    store.note_boot("garden", BOOT, START_S - 0.04)
    store.begin_boot_at("garden", BOOT, 0)
    rows = [_record(k) for k in range(600) if not LOST[0] <= k <= LOST[1]]
    store.add_records("garden", BOOT, [*rows, *_events()])
    store.settle_lost("garden", BOOT, *LOST)
    for name, start, target_c in PHASES:
        store.add_phase(cook_id, START_S + start, name, target_c)
    piece_id = store.add_piece(cook_id, "A", "tempered chop", 0, 57.0, rest_c=63.0, mass_kg=0.42, thickness_m=0.038)
    store.update_piece(piece_id, initial_c=8.0, on_s=START_S + 140.0, pulled_s=START_S + 345.0)
    store.add_piece(cook_id, "B", "cold chop", None, None)
    store.add_mark(cook_id, START_S + 2.0, "lit")
    store.add_mark(cook_id, START_S + 60.0, "vent_top", 0.25, "a quarter", "person")
    store.undo_mark(store.add_mark(cook_id, START_S + 61.0, "note", text="taken back"))
    n = store.next_order_n("garden")
    store.add_order("garden", n, BOOT, START_S + 130.0, "gains", {"ti_s": 600.0}, "plan")
    store.set_reply("garden", n, "", "")
    store.add_tuning("garden", START_S - 5.0, {"kp": 0.02, "ti_s": 400.0})
    store.add_tuning("garden", START_S + 131.0, {"kp": 0.02, "ti_s": 600.0}, n)
    alarm_id = store.raise_alarm(
        "garden", cook_id, START_S + 336.0, "pull", "pull", "raised", value=57.0, limit_value=57.0, cause="A at 57 °C"
    )
    store.update_alarm(alarm_id, state="cleared", acknowledged_s=START_S + 340.0, cleared_s=START_S + 345.0)
    store.save_state(cook_id, '{"phase": "bank"}')
    store.update_cook(cook_id, note="invented")
    store.end_cook(cook_id, START_S + 600.0, "plan")


if __name__ == "__main__":
    with Store(sys.argv[1]) as made:
        fill(made)
