"""A strip's geometry: time to x, value to y, round ticks, paths with gaps, labels pushed apart. No drawing."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

# Places in pixels. One x scale for all lanes.
WIDTH, LEFT, RIGHT = 1100.0, 60.0, 124.0
PHASES = (0.0, 28.0)
TEMPERATURES = (40.0, 340.0)
MARKS = (346.0, 374.0)
AIR = (382.0, 472.0)
HEIGHT = 500.0
LEAST_TICK_PX = 58.0
_STEPS_S = tuple(60.0 * minutes for minutes in (1, 2, 5, 10, 15, 30, 60, 120, 240, 360, 720, 1440))


@dataclass(frozen=True)
class TimeScale:
    """The one time axis, in unix seconds."""

    start_s: float
    end_s: float

    def x(self, at_s: float) -> float:
        """Pixels from the left, kept inside the plot."""
        share = (at_s - self.start_s) / max(self.end_s - self.start_s, 1.0)
        return LEFT + min(max(share, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)

    def ticks(self) -> list[float]:
        """Round moments of the local clock, at least LEAST_TICK_PX apart."""
        px_per_s = (WIDTH - LEFT - RIGHT) / max(self.end_s - self.start_s, 1.0)
        step_s = next((step for step in _STEPS_S if step * px_per_s >= LEAST_TICK_PX), _STEPS_S[-1])
        offset = datetime.datetime.fromtimestamp(self.start_s).astimezone().utcoffset()
        offset_s = offset.total_seconds() if offset is not None else 0.0
        first = -(-(self.start_s + offset_s) // step_s) * step_s - offset_s
        return [first + k * step_s for k in range(int((self.end_s - first) // step_s) + 1)]


@dataclass(frozen=True)
class ValueScale:
    """A lane's scale: `low` at its bottom, `high` at its top."""

    low: float
    high: float
    lane: tuple[float, float]

    def y(self, value: float) -> float:
        """Pixels from the top, kept inside the lane."""
        share = (value - self.low) / (self.high - self.low)
        top, bottom = self.lane
        return bottom - min(max(share, 0.0), 1.0) * (bottom - top)


def temperature_scale(highest: float) -> ValueScale:
    """From 0 to the next 50 above the highest value shown."""
    return ValueScale(0.0, max(100.0, 50.0 * -(-highest // 50.0)), TEMPERATURES)


def temperature_ticks(scale: ValueScale) -> list[float]:
    """At most eight round values."""
    step = next(step for step in (25.0, 50.0, 100.0, 200.0, 500.0) if scale.high / step <= 8.0)
    return [k * step for k in range(int(scale.high / step) + 1)]


def path(points: Sequence[tuple[float, float | None]]) -> str:
    """An SVG path through the points; None breaks it, so that a gap stays a gap."""
    said = []
    pen_down = False
    for x, y in points:
        if y is not None:
            said.append(f"{'L' if pen_down else 'M'}{x:.1f} {y:.1f}")
        pen_down = y is not None
    return "".join(said)


def steps(changes: Sequence[tuple[float, float]], end_x: float) -> str:
    """An SVG path that keeps each value until the next change, and the last to `end_x`."""
    if not changes:
        return ""
    said = f"M{changes[0][0]:.1f} {changes[0][1]:.1f}"
    for _, (x, y) in pairwise(changes):
        said += f"H{x:.1f}V{y:.1f}"
    return said + f"H{end_x:.1f}"


def apart(places: Sequence[float], least: float, low: float, high: float) -> list[float]:
    """The same places in the same order, at least `least` apart and inside low..high, moved no further than needed."""
    if not places:
        return []
    least = min(least, (high - low) / len(places))
    order = sorted(range(len(places)), key=lambda k: places[k])
    moved = [0.0] * len(places)
    floor = low
    for k in order:
        moved[k] = floor = max(places[k], floor)
        floor += least
    ceiling = high
    for k in reversed(order):
        moved[k] = ceiling = min(moved[k], ceiling)
        ceiling -= least
    return moved
