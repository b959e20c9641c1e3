"""The board's plain rows of one cook, for who reads what is said beside them: no code of the host is used."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Any

Row = dict[str, Any]
SPAN_S, HALF_S = 600, 15
NOISE_PER_MIN = 3.0
SPANS_S = (30, 45, 60, 90, 120)
THINNED_S = 8  # the host keeps one reading in five seconds


class Series:
    """One row a second; `at_s` in unix s, temperatures in degC."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self._at_s: list[float] = []

    def add(self, row: Row) -> None:
        """The newest."""
        self.rows.append(row)
        self._at_s.append(row["at_s"])

    def last(self) -> Series:
        """What a look needs, apart."""
        kept = Series()
        for row in self.rows[-SPAN_S - 120 :]:
            kept.add(row)
        return kept

    @property
    def now(self) -> Row:
        """The newest."""
        return self.rows[-1]

    def around(self, ago_s: int) -> list[Row]:
        """The rows of about then, one of which the host has kept; before a gap the last, if it is half a minute old."""
        near = self._between(ago_s + THINNED_S, ago_s - THINNED_S)
        return near or self._between(ago_s + 30, ago_s)[-1 - THINNED_S :]

    def within(self, from_s: float, to_s: float) -> list[Row]:
        """The rows between two moments, unix s."""
        return self.rows[bisect_left(self._at_s, from_s) : bisect_right(self._at_s, to_s)]

    def paces(self, key: str, index: int | None = None) -> list[float]:
        """degC a minute over the last half minute to 2 min, from the means of both ends; none where values are missing.

        Where a curve bends they differ: what is said of now is one of them. The last ten seconds count where they move
        by more than noise.
        """
        now = self._mean(key, index, 0)
        before = [(span_s, self._mean(key, index, span_s - HALF_S)) for span_s in SPANS_S]
        if now is None or before[0][1] is None:
            return []  # what the last half minute did is not known
        found = [60.0 * (now - then) / (span_s - HALF_S) for span_s, then in before if then is not None]
        last, before_last = self._mean(key, index, 0, 5), self._mean(key, index, 5, 5)
        at_last = 0.0 if last is None or before_last is None else 12.0 * (last - before_last)
        return [*found, *([at_last] if abs(at_last) > NOISE_PER_MIN else [])]

    def _mean(self, key: str, index: int | None, ago_s: int, over_s: int = HALF_S) -> float | None:
        part = [value_of(row, key, index) for row in self._between(ago_s + over_s, ago_s)]
        known = [value for value in part if value is not None]
        return None if len(part) < over_s or len(known) < len(part) else sum(known) / len(known)

    def _between(self, from_ago_s: int, to_ago_s: int) -> list[Row]:
        now_s = self.now["at_s"]
        return self.within(now_s - from_ago_s, now_s - to_ago_s)


def value_of(row: Row, key: str, index: int | None = None) -> float | None:
    """One value of a row; `index`: which food probe."""
    value = row[key]
    if index is None or value is None:
        return None if value is None else float(value)
    return value[index] if index < len(value) else None
