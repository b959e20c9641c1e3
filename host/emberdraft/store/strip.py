"""A cook's traces thinned for drawing: no peak is lost, and a gap stays a gap.

Time is cut into buckets. Of each bucket and each trace the lowest and the highest value are kept, as two points a
quarter and three quarters along the bucket, so that a line drawn through them touches every extreme. Their order
follows the trend from the bucket before. A bucket without readings gives nulls. When the stretch has few enough
readings they are given as they are, with one null row in each gap.
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Sequence
from typing import Any

from emberdraft.store.slices import SLICE_S, TRACES
from emberdraft.store.span import GAP_S, IN_SPAN, OF_TIME_LINE

# A stretch of more readings than this is drawn from slices: as quick to read as an hour, however long.
MOST_READ = 8000

_RAW = f"""
SELECT at_s, {", ".join(TRACES)} FROM reading
WHERE {IN_SPAN} ORDER BY at_s
"""
_EXTREMES = ", ".join(f"min({name}), max({name})" for name in TRACES)
_BUCKETS = f"""
SELECT CAST((at_s - :start_s) / :bucket_s AS INTEGER) AS bucket, {_EXTREMES} FROM reading
WHERE {IN_SPAN} GROUP BY bucket ORDER BY bucket
"""
_JOINED = ", ".join(f"min(low_{name}), max(high_{name})" for name in TRACES)
_BY_SLICES = f"""
SELECT (number - :first) / :slices AS bucket, {_JOINED} FROM slice
WHERE cooker = :cooker AND number >= :first AND number < :last AND {OF_TIME_LINE} GROUP BY bucket ORDER BY bucket
"""
_COUNT_BY_SLICES = f"""
SELECT coalesce(sum(reading_count), 0) FROM slice
WHERE cooker = :cooker AND number >= :first AND number < :last AND {OF_TIME_LINE}
"""
_COUNT = f"SELECT count(*) FROM reading WHERE {IN_SPAN}"

Columns = dict[str, list[Any]]


def strip(db: sqlite3.Connection, span: dict[str, Any], points: int) -> Columns:
    """Columns `t` (unix seconds) and each trace over a span with an end, about `points` long."""
    start_s, end_s = span["start_s"], span["end_s"]
    if _sliced(db, span) > max(points, MOST_READ):
        return _from_slices(db, span, points)
    (count,) = db.execute(_COUNT, span).fetchone()
    if count <= points:
        return _raw(db.execute(_RAW, span).fetchall())
    buckets = max(1, points // 2)
    bucket_s = max((end_s - start_s) / buckets, 1e-3)
    rows = db.execute(_BUCKETS, {**span, "bucket_s": bucket_s}).fetchall()
    return _from_buckets(rows, start_s, bucket_s, buckets)


def _whole(span: dict[str, Any]) -> dict[str, Any]:
    """The span with the slices that lie wholly in it, from `first` to before `last`."""
    first, last = math.ceil(span["start_s"] / SLICE_S), math.floor(span["end_s"] / SLICE_S)
    last = max(first, last)
    return {**span, "first": first, "last": last, "first_s": first * SLICE_S, "last_s": last * SLICE_S}


def _sliced(db: sqlite3.Connection, span: dict[str, Any]) -> int:
    """About how many readings there are, told from the slices."""
    (count,) = db.execute(_COUNT_BY_SLICES, _whole(span)).fetchone()
    return int(count)


def _from_slices(db: sqlite3.Connection, span: dict[str, Any], points: int) -> Columns:
    """Buckets of whole slices; the readings before the first and after the last of them belong to the outer buckets."""
    whole = _whole(span)
    slices = max(1, math.ceil((whole["last"] - whole["first"]) / max(1, points // 2)))
    buckets = math.ceil((whole["last"] - whole["first"]) / slices)
    rows = db.execute(_BY_SLICES, {**whole, "slices": slices}).fetchall()
    by_bucket = {row[0]: row for row in rows}
    for bucket, edge in ((0, {"end_s": whole["first_s"]}), (buckets - 1, {"start_s": whole["last_s"]})):
        outer = [(bucket, *_twice(row[1:])) for row in db.execute(_RAW, {**span, **edge})]
        if outer:
            here = [by_bucket[bucket]] if bucket in by_bucket else []
            by_bucket[bucket] = _joined([*here, *outer])
    return _from_buckets(list(by_bucket.values()), whole["first_s"], slices * SLICE_S, buckets)


def _twice(values: Sequence[Any]) -> list[Any]:
    """A reading as lowest and highest of itself."""
    return [value for value in values for _ in range(2)]


def _raw(rows: Sequence[tuple[Any, ...]]) -> Columns:
    with_gaps: list[tuple[Any, ...]] = []
    for row in rows:
        if with_gaps and row[0] - with_gaps[-1][0] > GAP_S:
            with_gaps.append(((with_gaps[-1][0] + row[0]) / 2.0, *(None,) * len(TRACES)))
        with_gaps.append(row)
    columns = [list(column) for column in zip(*with_gaps, strict=True)] or [[] for _ in range(1 + len(TRACES))]
    return dict(zip(("t", *TRACES), columns, strict=True))


def _from_buckets(rows: Sequence[tuple[Any, ...]], start_s: float, bucket_s: float, buckets: int) -> Columns:
    by_bucket = {min(row[0], buckets - 1): row for row in rows}
    if rows and rows[-1][0] >= buckets:  # the reading at end_s itself falls just past the last bucket
        by_bucket[buckets - 1] = _joined([row for row in rows if row[0] >= buckets - 1])
    columns: Columns = {"t": [start_s + bucket_s * (k / 2.0 + 0.25) for k in range(2 * buckets)]}
    for place, name in enumerate(TRACES):
        column: list[Any] = []
        middle = None
        for bucket in range(buckets):
            row = by_bucket.get(bucket)
            low, high = (None, None) if row is None else row[1 + 2 * place : 3 + 2 * place]
            falling = middle is not None and low is not None and (low + high) / 2.0 < middle
            column += (high, low) if falling else (low, high)
            middle = None if low is None else (low + high) / 2.0
        columns[name] = column
    return columns


def _joined(rows: Sequence[tuple[Any, ...]]) -> tuple[Any, ...]:
    """One bucket's row out of several: the lowest of the lows, the highest of the highs."""
    joined: list[Any] = [rows[0][0]]
    for place in range(1, 1 + 2 * len(TRACES)):
        values = [row[place] for row in rows if row[place] is not None]
        choose = min if place % 2 else max
        joined.append(choose(values) if values else None)
    return tuple(joined)
