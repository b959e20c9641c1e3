"""The gains that were in force in a cook, as the `[[gains]]` tables of a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from emberdraft import quantities
from emberdraft.review.columns import Row

KEYS = {"kp": "kp", "ti_s": "ti", "td_s": "td", "b": "b"}
# A change this much earlier or later than planned is the planned one: an order waits for its phase and for the link.
SAME_AFTER_S = 60.0
SAME_PART = 1e-3


def gains_done(tunings: list[Row], starts_s: dict[str, float]) -> list[dict[str, Any]]:
    """One table for each change that was reported, at its moment in a phase. What stays the same is not said again."""
    known: dict[str, float] = {}
    tables = []
    for tuning in tunings:
        told = {key: float(value) for key, value in tuning["gains"].items() if key in KEYS and value is not None}
        fresh = {key: value for key, value in told.items() if key not in known or not _near(known[key], value)}
        known.update(fresh)
        phase, after_s = _moment(tuning["at_s"], starts_s)
        if fresh and phase != "bank":
            tables.append({"phase": phase, "after": f"{after_s:.0f} s", **_said(fresh)})
    return tables


def gains_changes(planned: list[dict[str, Any]], done: list[dict[str, Any]]) -> list[str]:
    """Each change of the gains that was planned and not made, or made and not planned, in a line."""
    left = list(done)
    changes = []
    for table in planned:
        same = next((one for one in left if _same(table, one)), None)
        if same is None:
            changes.append(f"[gains] {_words(table)}: planned, not done")
        else:
            left.remove(same)
    return [*changes, *(f"[gains] {_words(table)}: done, not planned" for table in left)]


def _moment(at_s: float, starts_s: dict[str, float]) -> tuple[str, float]:
    begun = {name: start_s for name, start_s in starts_s.items() if start_s <= at_s}
    if not begun:
        return "light", 0.0
    phase = max(begun, key=lambda name: begun[name])
    return phase, at_s - begun[phase]


def _said(gains: dict[str, float]) -> dict[str, Any]:
    say: dict[str, Callable[[float], Any]] = {"kp": _per_c, "ti_s": _seconds, "td_s": _seconds, "b": _plain}
    return {KEYS[key]: say[key](value) for key, value in gains.items()}


def _per_c(value: float) -> str:
    return f"{100.0 * value:.4g} %/C"


def _plain(value: float) -> float:
    return round(value, 4)


def _seconds(value_s: float) -> str:
    return f"{value_s:.6g} s"


def _same(planned: dict[str, Any], done: dict[str, Any]) -> bool:
    a, b = _read(planned), _read(done)
    return (
        planned.get("phase") == done["phase"]
        and abs(a.pop("after") - b.pop("after")) <= SAME_AFTER_S
        and a.keys() == b.keys()
        and all(_near(a[key], b[key]) for key in a)
    )


def _read(table: dict[str, Any]) -> dict[str, float]:
    """Numbers of a table of gains; `after` is always there."""
    read = {"kp": quantities.gain_per_c, "ti": quantities.duration_s, "td": quantities.duration_s, "b": _number}
    values = {key: read[key](value) for key, value in table.items() if key in read}
    return {"after": quantities.duration_s(table.get("after", "0 s")), **values}


def _number(value: object) -> float:
    return float(value) if isinstance(value, (int, float)) else 0.0


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= SAME_PART * max(abs(a), abs(b))


def _words(table: dict[str, Any]) -> str:
    gains = ", ".join(f"{key} {value}" for key, value in table.items() if key not in ("phase", "after"))
    return f"{table.get('phase')} after {table.get('after', '0 s')}, {gains}"
