"""Twenty seconds of a boot as one row: the lowest and the highest of each trace. A long strip is drawn from these.

They are worked out from the readings in the same transaction that brings them, so both are there or neither.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator

SLICE_S = 20.0
TRACES = (
    *("pit_c", "stone_c", "core1_c", "core2_c", "core3_c", "core4_c", "target_c", "ref_c"),
    *("duty", "drive", "opening", "lid_open"),
)
# Within this of an edge the slice's number decides, not the moment: both are rounded.
EDGE_S = 0.01

COLUMNS = tuple(f"{low_high}_{name}" for name in TRACES for low_high in ("low", "high"))
_EXTREMES = ", ".join(f"min({name}), max({name})" for name in TRACES)
NUMBER = f"CAST(at_s / {SLICE_S} AS INTEGER)"
_FILL = f"""
INSERT OR REPLACE INTO slice (cooker, number, boot, {", ".join(COLUMNS)}, reading_count)
SELECT cooker, {NUMBER} AS number, boot, {_EXTREMES}, count(*) FROM reading
WHERE cooker = :cooker AND at_s >= :from_s AND at_s < :to_s AND boot = :boot AND {NUMBER} BETWEEN :first AND :last
GROUP BY number
"""


def number_of(at_s: float) -> int:
    """In which slice a moment (unix s) lies."""
    return int(at_s / SLICE_S)


def renew(db: sqlite3.Connection, cooker: str, boot: str, moments_s: Iterable[float]) -> None:
    """Work out again the slices in which these moments lie."""
    for first, last in _runs(sorted({number_of(at_s) for at_s in moments_s})):
        from_s, to_s = first * SLICE_S - EDGE_S, (last + 1) * SLICE_S + EDGE_S
        values = {"cooker": cooker, "boot": boot, "first": first, "last": last, "from_s": from_s, "to_s": to_s}
        db.execute(_FILL, values)


def _runs(numbers: list[int]) -> Iterator[tuple[int, int]]:
    """Numbers that follow one another, as first and last of each run."""
    first = before = None
    for number in numbers:
        if first is None or before is None:
            first = number
        elif number != before + 1:
            yield first, before
            first = number
        before = number
    if first is not None and before is not None:
        yield first, before
