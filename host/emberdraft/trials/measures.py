"""What a trial measures of each piece: from its curve in the cook, and from its weighings. Each with its doubt."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np

from emberdraft.trials import probe_doubt

Row = dict[str, Any]
NEEDED = ("at_s", "pit_c", "core1_c", "core2_c", "core3_c", "core4_c")
STEPS = ("raw", "salted", "fridge", "on", "pulled", "rested", "seared")
RISEN_C = 2.0  # what counts as having begun to warm
START_S = 600.0  # the lowest core is looked for in so long after going on
FIT_C = 3.0  # the curve's last so many degrees give its rate and the moment
EARLY_C = 1.0
LEAST_POINTS = 10
STEADY = 15  # readings in a running mean
POINTS = "percentage points"


@dataclass(frozen=True)
class Measure:
    """A measure: how people call it, its unit for people, and the factor from the unit inside."""

    key: str
    words: str
    unit: str
    factor: float
    how: str
    apart: str = ""  # the unit of a difference, where it is another

    @property
    def unit_apart(self) -> str:
        """The unit of a difference."""
        return self.apart or self.unit


MEASURES: Mapping[str, Measure] = {
    m.key: m
    for m in (
        Measure("time_to_pull", "time to pull", "min", 1.0 / 60.0, "from going on to the common core temperature"),
        Measure("rate", "rate", "°C/min", 60.0, f"slope of the core over its last {FIT_C:g} °C before that"),
        Measure("lag", "lag", "min", 1.0 / 60.0, f"from going on until the core has risen by {RISEN_C:g} °C"),
        Measure("cooking_loss", "cooking loss", "%", 100.0, "mass lost from going on to the last weighing", POINTS),
        Measure("fridge_loss", "fridge loss", "%", 100.0, "mass lost from the first weighing to going on", POINTS),
    )
}
TASTING = "tasting"


class Found(NamedTuple):
    """A value in the unit inside (s, degC/s, share) and its standard uncertainty from probes or scale."""

    value: float
    doubt: float


class Record(Protocol):
    """What is needed of the store."""

    def pieces(self, cook_id: int) -> list[Row]: ...
    def readings(
        self, cook_id: int, start_s: float | None = None, end_s: float | None = None, names: Sequence[str] = ()
    ) -> dict[str, list[Any]]: ...


def measure(record: Record, trial: Row) -> tuple[dict[int, dict[str, Found]], dict[int, int | None], float | None]:
    """Of each trial piece its measures (what the data do not allow is not there), its probe, and the common core."""
    cooked = [piece for piece in trial["pieces"] if piece["cook_id"] is not None]
    rows = {cook_id: record.pieces(cook_id) for cook_id in {piece["cook_id"] for piece in cooked}}
    in_cook = {p["id"]: r for p in cooked for r in rows[p["cook_id"]] if r["letter"] == p["letter"]}
    to_c = min((row["pull_c"] for row in in_cook.values() if row["pull_c"] is not None), default=None)
    curves = {cook_id: record.readings(cook_id, names=NEEDED) for cook_id in rows}
    found: dict[int, dict[str, Found]] = {}
    for piece in trial["pieces"]:
        own = _losses(piece, trial)
        row = in_cook.get(piece["id"])
        if row is not None:
            own |= _curve(curves[piece["cook_id"]], row, to_c, trial)
        found[piece["id"]] = own
    return found, {piece_id: row["probe"] for piece_id, row in in_cook.items()}, to_c


def _curve(columns: Mapping[str, list[Any]], row: Row, to_c: float | None, trial: Row) -> dict[str, Found]:
    if row["probe"] is None or row["on_s"] is None:
        return {}
    at_s = np.asarray(columns["at_s"], dtype=float)
    core_c = np.asarray(columns[f"core{row['probe'] + 1}_c"], dtype=float)
    pit_c = np.asarray(columns["pit_c"], dtype=float)
    end_s = math.inf if row["pulled_s"] is None else row["pulled_s"]
    inside = (at_s >= row["on_s"]) & (at_s <= end_s) & np.isfinite(core_c)
    thickness_m = row["thickness_m"] or probe_doubt.PLAIN_THICKNESS_M
    reach = (trial["off_centre_m"], thickness_m)
    if np.count_nonzero(inside) < 10 * STEADY:
        return {}
    since_s, core_c, pit_c = at_s[inside] - row["on_s"], core_c[inside], pit_c[inside]
    found: dict[str, Found] = {}
    lag_s = lag(since_s, core_c)
    if lag_s is not None:
        found["lag"] = Found(lag_s, probe_doubt.lag_doubt_s(lag_s, *reach))
    crossing = None if to_c is None else reaching(since_s, core_c, to_c)
    if crossing is not None and to_c is not None:
        at, rate_cps = crossing
        air_c = float(np.nanmean(pit_c)) if np.isfinite(pit_c).any() else to_c
        doubt_c = probe_doubt.core_doubt_c(air_c, to_c, trial["tolerance_c"], *reach)
        found["time_to_pull"] = Found(at, probe_doubt.time_doubt_s(doubt_c, rate_cps))
        found["rate"] = Found(rate_cps, probe_doubt.rate_doubt(rate_cps, trial["tolerance_c"], *reach))
    return found


def reaching(since_s: np.ndarray, core_c: np.ndarray, to_c: float) -> tuple[float, float] | None:
    """When a core is at `to_c` (s since going on) and how fast it rises there (degC/s): a straight line through its
    last degrees, carried on by at most EARLY_C where it was pulled early. None when it never got there."""
    steady = _steady(core_c)
    if steady.max() < to_c - EARLY_C:
        return None
    until = int(np.argmax(steady >= to_c)) + STEADY if steady.max() >= to_c else len(core_c)
    part = slice(int(np.argmax(steady >= to_c - FIT_C)), until)
    if until - part.start < LEAST_POINTS:
        return None
    slope, level = np.polyfit(since_s[part], core_c[part], 1)
    return (float((to_c - level) / slope), float(slope)) if slope > 0.0 else None


def lag(since_s: np.ndarray, core_c: np.ndarray) -> float | None:
    """Seconds until a core has risen by RISEN_C over its lowest in the first minutes; None when it has not."""
    steady = _steady(core_c)
    times = since_s[: len(steady)] + 0.5 * STEADY
    start_c = float(steady[times <= START_S].min())
    risen = steady >= start_c + RISEN_C
    return float(times[np.argmax(risen)]) if risen.any() else None


def _steady(values: np.ndarray) -> np.ndarray:
    return np.convolve(values, np.full(STEADY, 1.0 / STEADY), mode="valid")


def _losses(piece: Row, trial: Row) -> dict[str, Found]:
    masses = {w["step"]: w["mass_kg"] for w in trial["weighings"] if w["trial_piece_id"] == piece["id"]}
    first: Callable[..., float | None] = lambda *steps: next((masses[s] for s in steps if s in masses), None)  # noqa: E731
    on_kg, after_kg, before_kg = first("on", "fridge"), first("seared", "rested", "pulled"), first("salted", "raw")
    found = {}
    for key, before, after in (("cooking_loss", on_kg or before_kg, after_kg), ("fridge_loss", before_kg, on_kg)):
        if before is not None and after is not None:
            doubt = probe_doubt.loss_doubt(before, after, trial["scale_kg"])
            found[key] = Found(1.0 - after / before, doubt)
    return found
