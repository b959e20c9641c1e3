"""A cook's readings on one even grid, as the twin takes them: what went in, and what was measured."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP_S = 20.0


@dataclass(frozen=True)
class Trace:
    """Columns of equal length, one row in STEP_S. Not measured is NaN. Shares 0..1, masses in kg, degC, m/s."""

    t_s: Array  # end of each step, from the first reading
    speed: Array  # mean drive of the blower
    speed2: Array  # mean of its square: what the pressure goes by
    opening: Array  # damper; where there is none, the bottom vent
    vent_top: Array
    lid: Array  # share of the step with the lid open
    food_kg: Array
    parts_kg: Array
    pit_c: Array
    stone_c: Array
    ambient_c: float = 20.0
    wind_mps: float = 1.0

    @property
    def length(self) -> int:
        """Number of steps."""
        return int(self.t_s.size)

    def until(self, t_s: float) -> Trace:
        """The part before `t_s`."""
        keep = self.t_s <= t_s + 1e-6
        return replace(self, **{name: getattr(self, name)[keep] for name in _COLUMNS})


_COLUMNS = ("t_s", "speed", "speed2", "opening", "vent_top", "lid", "food_kg", "parts_kg", "pit_c", "stone_c")

Mark = tuple[float, str, float]


def trace_of(
    rows: Mapping[str, Any],
    marks: Iterable[Mark],
    *,
    ambient_c: float = 20.0,
    wind_mps: float = 1.0,
    vent_top: float = 0.25,
) -> Trace:
    """From readings (t_s, pit_c, stone_c, drive, opening, lid_open) and marks (t_s, kind, value), times in s.

    Kinds that count: vent_top and vent_bottom (share), set_up (kg), piece_on and pulled (kg on the grate from then
    on). A gap in the readings keeps the air as it was: the board goes on alone.
    """
    t = _floats(rows["t_s"])
    grid: Array = np.arange(t[0], t[-1] + 0.5 * STEP_S, STEP_S)[1:]
    bin_of = np.clip(np.searchsorted(grid, t, side="left"), 0, max(grid.size - 1, 0))
    drive = np.nan_to_num(np.asarray(rows["drive"], float))
    marks = list(marks)
    opening = np.asarray([1.0 if x is None else x for x in rows["opening"]], float)
    bottom = _steps(grid, marks, "vent_bottom", 1.0)
    return Trace(
        t_s=_floats(grid - t[0]),
        speed=_mean(bin_of, drive, grid.size),
        speed2=_mean(bin_of, drive**2, grid.size),
        opening=_mean(bin_of, opening, grid.size) * bottom,
        vent_top=_steps(grid, marks, "vent_top", vent_top),
        lid=_mean(bin_of, np.asarray(rows["lid_open"], float), grid.size),
        food_kg=_steps(grid, [(s, "food", v) for s, k, v in marks if k in ("piece_on", "pulled")], "food", 0.0),
        parts_kg=_steps(grid, marks, "set_up", 0.0),
        pit_c=_mean(bin_of, _floats(rows["pit_c"]), grid.size, gaps=True),
        stone_c=_mean(bin_of, _floats(rows["stone_c"]), grid.size, gaps=True),
        ambient_c=ambient_c,
        wind_mps=wind_mps,
    )


def ahead(trace: Trace, steps: int, *, speed: float, opening: float, vent_top: float) -> Trace:
    """`steps` more steps after a trace with the air held as said, the lid shut and nothing on the grate."""
    full = {name: np.full(steps, np.nan) for name in ("pit_c", "stone_c")}
    last_parts = float(trace.parts_kg[-1]) if trace.length else 0.0
    return Trace(
        t_s=_floats((trace.t_s[-1] if trace.length else 0.0) + STEP_S * np.arange(1, steps + 1)),
        speed=np.full(steps, speed),
        speed2=np.full(steps, speed**2),
        opening=np.full(steps, opening),
        vent_top=np.full(steps, vent_top),
        lid=np.zeros(steps),
        food_kg=np.zeros(steps),
        parts_kg=np.full(steps, last_parts),
        ambient_c=trace.ambient_c,
        wind_mps=trace.wind_mps,
        **full,
    )


def part(trace: Trace, from_s: float) -> Trace:
    """The part after `from_s`."""
    keep = trace.t_s > from_s + 1e-6
    return replace(trace, **{name: getattr(trace, name)[keep] for name in _COLUMNS})


def _floats(values: Any) -> Array:
    return np.asarray([np.nan if v is None else v for v in values], float)


def _mean(bin_of: NDArray[np.int64], values: Array, size: int, gaps: bool = False) -> Array:
    """Mean of the values in each step; an empty step is NaN, or the value before it."""
    good = np.isfinite(values)
    count = np.bincount(bin_of[good], minlength=size)
    total = np.bincount(bin_of[good], weights=values[good], minlength=size)
    mean: Array = np.full(size, np.nan)
    mean[count > 0] = total[count > 0] / count[count > 0]
    if gaps:
        return mean
    last = np.maximum.accumulate(np.where(count > 0, np.arange(size), 0))
    return np.asarray(np.nan_to_num(mean[last]))


def _steps(grid: Array, marks: Iterable[Mark], kind: str, start: float) -> Array:
    """A value that a person sets now and then, on the grid."""
    values: Array = np.full(grid.size, start)
    for at_s, name, value in sorted(marks):
        if name == kind:
            values[grid > at_s] = value
    return values
