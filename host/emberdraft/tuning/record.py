"""A recorded cook as the tuning takes it: one row a second, orders and vents at their times."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from emberdraft.errors import UserError
from emberdraft.store.read import Reader
from emberdraft.tuning.model import Array

GAP_S = 5.0
TEXTS = ("mode", "phase")
NUMBERS = ("pit_c", "stone_c", "target_c", "ref_c", "duty", "drive", "opening", "p_duty", "lid_open")
COLUMNS = ("at_s", "boot", *TEXTS, *NUMBERS)
# Order, and the arguments it came with, at the row before whose tick it was taken.
Order = tuple[int, str, dict[str, Any]]
GAINS = ("kp", "ti_s", "td_s", "b")


@dataclass(frozen=True)
class Cook:
    """Rows one second apart; what was not measured is NaN; shares 0..1, degC. `food` and `missing` are flags.

    `at_s` is the first row's time (unix); `gains` those in force at the start, as far as the record says;
    `vent_top` and `vent_bottom` what a person noted (NaN: nothing noted).
    """

    at_s: float
    columns: dict[str, Array]
    texts: dict[str, list[str]]
    orders: tuple[Order, ...] = ()
    gains: dict[str, float] = field(default_factory=dict)
    vent_top: Array | None = None
    vent_bottom: Array | None = None
    food: Array | None = None

    def __getitem__(self, name: str) -> Array:
        return self.columns[name]

    @property
    def length(self) -> int:
        """Seconds."""
        return len(self.columns["pit_c"])

    def held(self) -> tuple[int, int]:
        """First and last row of the stretch from the first hold to the first climb, bank or end."""
        modes = self.texts["mode"]
        first = next((i for i, mode in enumerate(modes) if mode == "hold"), None)
        if first is None:
            raise UserError("tune: this cook never held a temperature; a cook with a slow phase would be right")
        last = next((i for i in range(first, len(modes)) if modes[i] not in ("hold", "")), len(modes))
        return first, last


def cook_of(
    rows: Mapping[str, Sequence[Any]], orders: Sequence[tuple[float, str, dict[str, Any]]] = (), **more: Any
) -> Cook:
    """From reading columns (at_s in seconds, increasing) and orders with their times; later options as in `Cook`."""
    if len(rows["at_s"]) < 2:
        raise UserError("tune: this cook has no readings; record one first")
    at_s = np.asarray(rows["at_s"], float)
    grid = np.arange(round(at_s[-1] - at_s[0]) + 1)
    place = np.clip(np.searchsorted(at_s, at_s[0] + grid + 0.5, side="right") - 1, 0, len(at_s) - 1)
    missing = (at_s[0] + grid - at_s[place]) > GAP_S
    columns = {name: _numbers(rows[name])[place] for name in NUMBERS}
    for name in ("pit_c", "stone_c", "p_duty"):
        columns[name] = np.where(missing, np.nan, columns[name])
    columns["opening"] = _kept(columns["opening"], 1.0)
    columns["drive"] = np.nan_to_num(columns["drive"])
    texts = {name: [rows[name][k] or "" for k in place] for name in TEXTS}
    placed = [(int(np.searchsorted(grid, t - at_s[0] - 1e-3)), name, args) for t, name, args in orders]
    return Cook(float(at_s[0]), columns, texts, tuple(sorted(placed, key=lambda o: o[0])), **more)


def read_cook(reader: Reader, cook_id: int) -> Cook:
    """A cook of the record."""
    rows = reader.readings(cook_id, names=COLUMNS)
    if len(rows["at_s"]) < 2:
        raise UserError(f"tune: cook {cook_id} has no readings; one with a slow phase would be right")
    start_s, length = rows["at_s"][0], round(rows["at_s"][-1] - rows["at_s"][0]) + 1
    marks = reader.marks(cook_id)
    return cook_of(
        rows,
        _orders(reader, cook_id, start_s),
        gains=_first_gains(reader, cook_id, start_s),
        vent_top=_set_by_hand(marks, "vent_top", start_s, length),
        vent_bottom=_set_by_hand(marks, "vent_bottom", start_s, length),
        food=_food(reader.pieces(cook_id), start_s, length),
    )


def gains_in_force(cook: Cook, defaults: Mapping[str, float]) -> dict[str, float]:
    """Gains at the end of the hold: the board's own, changed by what the record says."""
    _, last = cook.held()
    gains = {**defaults, **cook.gains}
    for row, name, args in cook.orders:
        if name == "gains" and row < last:
            gains.update({k: float(v) for k, v in args.items() if k in GAINS and v is not None})
    return gains


def gains_before_last(cook: Cook, defaults: Mapping[str, float]) -> dict[str, float]:
    """Gains that were in force before the last order of gains in this cook. UserError when there was none."""
    rows = [k for k, (_, name, _) in enumerate(cook.orders) if name == "gains"]
    if not rows:
        raise UserError("tune: no gains were ordered in this cook; the cook in which they were sent would be right")
    earlier = replace(cook, orders=cook.orders[: rows[-1]], texts={**cook.texts, "mode": ["hold"] * cook.length})
    return gains_in_force(earlier, defaults)


def _orders(reader: Reader, cook_id: int, start_s: float) -> list[tuple[float, str, dict[str, Any]]]:
    """Orders that were taken, at the moment the board noted it; the button's presses as orders of the lid."""
    taken: dict[str, list[float]] = {}
    pressed: list[tuple[float, str, dict[str, Any]]] = []
    for event in reader.events(cook_id):
        if event["kind"] == "order_taken":
            taken.setdefault(event["text"], []).append(event["at_s"])
        elif event["kind"] == "button":
            pressed.append((event["at_s"], "button", {"text": event["text"]}))
    sent = [order for order in reader.orders(cook_id) if not order["code"]]
    found = []
    for order in sent:
        times = taken.get(str(order["name"])[:16], [])
        found.append((times.pop(0) if times else order["at_s"], order["name"], order["args"]))
    return found + pressed


def _first_gains(reader: Reader, cook_id: int, start_s: float) -> dict[str, float]:
    found: dict[str, float] = {}
    for row in reader.tunings(cook_id):
        if row["at_s"] <= start_s:
            found.update({k: float(v) for k, v in row["gains"].items() if k in GAINS and v is not None})
    return found


def _set_by_hand(marks: Sequence[Mapping[str, Any]], kind: str, start_s: float, length: int) -> Array:
    values = np.full(length, np.nan)
    for mark in marks:
        if mark["kind"] == kind and mark["value"] is not None:
            values[max(0, round(mark["at_s"] - start_s)) :] = mark["value"]
    return values


def _food(pieces: Sequence[Mapping[str, Any]], start_s: float, length: int) -> Array:
    on = np.zeros(length)
    for piece in pieces:
        if piece["on_s"] is not None:
            end = length if piece["pulled_s"] is None else max(0, round(piece["pulled_s"] - start_s))
            on[max(0, round(piece["on_s"] - start_s)) : end] = 1.0
    return on


def _numbers(values: Sequence[Any]) -> Array:
    return np.asarray([np.nan if v is None else v for v in values], float)


def _kept(values: Array, first: float) -> Array:
    """None means that the damper was left as it was."""
    last = np.maximum.accumulate(np.where(np.isfinite(values), np.arange(values.size), -1))
    return np.where(last < 0, first, values[np.maximum(last, 0)])
