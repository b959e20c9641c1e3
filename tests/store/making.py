"""Records as a board sends them, for tests."""

from __future__ import annotations

from typing import Any

START_S = 1_780_000_000.0  # 2026-05-28 20:26:40 UTC


def reading(seq: int, **changes: Any) -> dict[str, Any]:
    """One second of a board in hold; `at_s` follows from seq."""
    record: dict[str, Any] = {
        "boot": "b1",
        "seq": seq,
        "ms": 1000 * seq,
        "oldest": 0,
        "at_s": START_S + seq,
        "mode": "hold",
        "phase": "slow",
        "pit_c": 120.5,
        "pit_fault": "",
        "stone_c": 131.25,
        "stone_fault": "",
        "core_c": [41.0, None],
        "core_fault": ["", "open"],
        "board_c": 31.0,
        "target_c": 121.0,
        "ref_c": 121.0,
        "duty": 0.25,
        "drive": 0.3,
        "opening": 0.4,
        "lid_open": False,
        "p": 0.05,
        "i": 0.2,
        "d": -0.01,
        "ff": 0.01,
        "fire": 0.9,
        "why": "steady",
    }
    return record | changes


def event(seq: int, kind: str = "lid_open", **changes: Any) -> dict[str, Any]:
    """One event of a board."""
    record = {"boot": "b1", "seq": seq, "ms": 1000 * seq, "at_s": START_S + seq, "kind": kind}
    return record | {"value": None, "limit": None, "text": ""} | changes
