"""The last quarter of an hour of live readings, thinned: enough for rates and for 'ten minutes ago'."""

from __future__ import annotations

from collections import deque
from typing import Any, NamedTuple

Point = tuple[float, float]
EVERY_S = 5.0
KEPT_S = 900.0
SPANS_S = (120.0, 60.0, 30.0)  # a pace is that of the longest of them which is straight
STRAIGHT_C = 0.3
SURE_PER_MIN = 0.2
RATE_LEAST_S = 40.0  # less is noise: five readings of 20 s made a slope of 0.6 a minute of a pit that stood still


class Line(NamedTuple):
    """A pace and its standard error, degC a minute; how far the readings are off it, rms, degC, and over how long."""

    per_min: float
    error_per_min: float
    off_c: float
    over_s: float

    def known(self) -> bool:
        """Whether it is more than the noise of a few readings."""
        return self.error_per_min <= SURE_PER_MIN or abs(self.per_min) > 3.0 * self.error_per_min


class History:
    """Feed it every live reading; ask for rates in degC a minute. Times in unix s."""

    def __init__(self) -> None:
        self._rows: deque[tuple[float, dict[str, Any]]] = deque()

    def add(self, at_s: float, row: dict[str, Any]) -> None:
        """Keep one reading in five seconds."""
        if self._rows and at_s < self._rows[-1][0]:
            self._rows.clear()  # another start, placed before it: no slope goes over that
        if self._rows and at_s - self._rows[-1][0] < EVERY_S:
            return
        self._rows.append((at_s, row))
        while at_s - self._rows[0][0] > KEPT_S:
            self._rows.popleft()

    def rate_per_min(self, key: str, now_s: float, index: int | None = None) -> float | None:
        """The pace of now, degC a minute; None while it cannot say.

        A line by least squares over two minutes; where the readings bend, as after a lid, over the last minute or half
        a minute: else it would be said to fall while it already rises. A slope that may be no more than the noise of a
        few readings, as after a start of the host, is not known.
        """
        pace = None
        for span_s in SPANS_S:
            line = _line(self._points(key, now_s, index, span_s))
            if line is None or (pace is None and line.over_s < RATE_LEAST_S):
                break
            pace = line
            if line.off_c <= STRAIGHT_C:
                break
        return pace.per_min if pace is not None and pace.known() else None

    def _points(self, key: str, now_s: float, index: int | None, span_s: float) -> list[Point]:
        """Seconds from now and value, the newest first."""
        points = []
        for at_s, row in reversed(self._rows):
            if now_s - at_s > span_s:
                break
            value = _value(row, key, index)
            if value is not None:
                points.append((at_s - now_s, value))
        return points

    def value_before(self, key: str, now_s: float, ago_s: float, index: int | None = None) -> float | None:
        """What a value was `ago_s` seconds ago, if there is a reading within half a minute of it."""
        row = self.row_before(now_s, ago_s)
        return None if row is None else _value(row, key, index)

    def row_before(self, now_s: float, ago_s: float) -> dict[str, Any] | None:
        """The reading of `ago_s` seconds ago, if there is one within half a minute of it."""
        for at_s, row in reversed(self._rows):
            if at_s <= now_s - ago_s:
                return row if now_s - ago_s - at_s <= 30.0 else None
        return None


def _value(row: dict[str, Any], key: str, index: int | None) -> float | None:
    value = row.get(key)
    if index is None:
        return value
    return value[index] if value is not None and index < len(value) else None


def _line(points: list[Point]) -> Line | None:
    """By least squares; None for too few."""
    if len(points) < 3:
        return None
    n = len(points)
    mean_t, mean_v = sum(t for t, _ in points) / n, sum(v for _, v in points) / n
    spread = sum((t - mean_t) ** 2 for t, _ in points)
    slope = sum((t - mean_t) * (v - mean_v) for t, v in points) / spread
    off = sum((v - mean_v - slope * (t - mean_t)) ** 2 for t, v in points)
    return Line(60.0 * slope, 60.0 * (off / (n - 2) / spread) ** 0.5, (off / n) ** 0.5, points[0][0] - points[-1][0])
