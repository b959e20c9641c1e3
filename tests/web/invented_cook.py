"""An invented cook from simple formulas: nothing here was measured, and no controller or plant is in it.

It gives the page something to show that has every feature once: a light, a lid lift with cold parts
going in, a slow phase with two pieces, a pause with its gap, two pulls, a climb, a sear, a bank.
Times are minutes from the start, temperatures degC, shares 0..1.
"""

from __future__ import annotations

import math
from typing import Any

START_S = 1791650400.0  # 2026-10-10 16:40 UTC
MINUTE_S = 60.0
PERIOD_S = 2.0

# name, first minute, target
PHASES = (
    ("light", 0.0, 115.0),
    ("soak", 21.0, 121.0),
    ("slow", 41.0, 121.0),
    ("climb", 113.0, 260.0),
    ("sear", 137.0, 260.0),
    ("bank", 144.0, None),
)
END_MIN = 176.0
LIDS = ((42.0, 43.2), (104.0, 104.8), (111.5, 112.2), (137.5, 139.0), (140.5, 142.0))
GAP = (68.5, 69.9)  # the pit probe was unplugged: a pause, and no pit value
PIECES = (("A", "Tempered", 18.0, 57.0, 104.0), ("B", "Fridge-cold", 4.0, 57.0, 111.5))
ON_MIN = 42.5


def phase_at(minute: float) -> tuple[str, float, float | None]:
    return [p for p in PHASES if p[1] <= max(minute, 0.0)][-1]


def end_of(name: str) -> float:
    names = [p[0] for p in PHASES]
    place = names.index(name) + 1
    return PHASES[place][1] if place < len(PHASES) else END_MIN


def lid_open(minute: float) -> bool:
    return any(first <= minute < last for first, last in LIDS)


def _lid_drop(minute: float) -> float:
    """Degrees the pit has lost to lid lifts: falls fast while open, comes back with a lag of 1.5 min."""
    drop = 0.0
    for first, last in LIDS:
        if minute > first:
            fallen = 72.0 * (1.0 - math.exp(-(min(minute, last) - first) / 0.4))
            drop += fallen * math.exp(-max(minute - last, 0.0) / 1.5)
    return drop


def _ripple(minute: float) -> float:
    return 0.5 * math.sin(minute / 1.7) + 0.3 * math.sin(minute / 0.31) + 0.2 * math.sin(minute * 7.1)


def pit_c(minute: float) -> float | None:
    if GAP[0] <= minute < GAP[1]:
        return None
    if minute < 113.0:
        base = 15.0 + 106.0 * (1.0 - math.exp(-minute / 5.5)) + 7.0 * math.exp(-(((minute - 17.0) / 4.0) ** 2))
    elif minute < 144.0:
        base = 121.0 + 205.0 * (1.0 - math.exp(-(minute - 113.0) / 14.0))
    else:
        base = 100.0 + 180.0 * math.exp(-(minute - 144.0) / 26.0)
    return round(max(base - _lid_drop(minute), 20.0) + _ripple(minute), 2)


def stone_c(minute: float) -> float:
    if minute < 113.0:
        base = 15.0 + 115.0 * (1.0 - math.exp(-minute / 12.0)) - 0.12 * _lid_drop(minute)
    elif minute < 144.0:
        base = 130.0 + 240.0 * (1.0 - math.exp(-(minute - 113.0) / 30.0)) - 0.2 * _lid_drop(minute)
    else:
        base = 110.0 + 180.0 * math.exp(-(minute - 144.0) / 40.0)
    return round(base + 0.2 * _ripple(minute), 2)


def core_c(k: int, minute: float) -> float | None:
    first = PIECES[k][2]
    if minute < ON_MIN:
        return None
    warm = 85.0 if k == 0 else 82.0
    away = max(minute - ON_MIN - 6.0, 0.0)
    at_pull = 61.5 if minute > PIECES[k][4] + 5.0 else 999.0
    return round(min(first + (warm - first) * (1.0 - math.exp(-away / 68.0)), at_pull), 2)


def duty(minute: float) -> float:
    name = phase_at(minute)[0]
    if lid_open(minute) or name == "bank" or GAP[0] <= minute < GAP[1]:
        return 0.0
    if name == "climb":
        return 1.0
    wave = 0.03 * math.sin(minute / 2.3)
    return round(min(max(0.25 + 0.75 * math.exp(-minute / 9.0) + wave + _lid_drop(minute) / 90.0, 0.0), 1.0), 3)


def opening(minute: float) -> float:
    if minute >= 144.0:
        return 0.0
    return 1.0 if minute < 21.0 or minute >= 113.0 else 0.4


def why(minute: float) -> str:
    if lid_open(minute):
        return "lid"
    if GAP[0] <= minute < GAP[1]:
        return "paused"
    return {"climb": "drive", "sear": "drive", "bank": "bank"}.get(phase_at(minute)[0], "steady")


def row_at(minute: float) -> dict[str, Any]:
    """One reading in the columns of the store."""
    name, _, target = phase_at(minute)
    return {
        "at_s": START_S + minute * MINUTE_S,
        "phase": name,
        "pit_c": pit_c(minute),
        "stone_c": stone_c(minute),
        "core1_c": core_c(0, minute),
        "core2_c": core_c(1, minute),
        "core3_c": None,
        "core4_c": None,
        "target_c": target,
        "duty": duty(minute),
        "opening": opening(minute),
        "lid_open": int(lid_open(minute)),
        "why": why(minute),
    }


def marks(until_min: float) -> list[dict[str, Any]]:
    """What the invented person noted, up to a minute."""
    noted = [
        (0.0, "lit", None, ""),
        (0.5, "vent_top", 0.9, ""),
        (0.6, "vent_bottom", 0.8, ""),
        (17.0, "vent_top", 0.25, ""),
        (17.5, "vent_bottom", 0.35, ""),
        (42.5, "piece_on", None, "both chops"),
        (104.3, "pulled", None, "A"),
        (111.8, "pulled", None, "B"),
        (113.0, "vent_bottom", 0.9, ""),
        (122.0, "vent_top", 0.9, ""),
        (138.0, "flipped", None, ""),
        (144.0, "vent_top", 0.0, ""),
    ]
    return [
        {"id": i + 1, "at_s": START_S + m * MINUTE_S, "kind": kind, "value": value, "text": text, "author": "person"}
        for i, (m, kind, value, text) in enumerate(noted)
        if m <= until_min
    ]
