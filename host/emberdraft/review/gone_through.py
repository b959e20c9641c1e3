"""Readings of a file, gone through as often as needed and never all in memory."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from emberdraft.errors import UserError
from emberdraft.store.records import READING_COLUMNS

Reading = tuple[Any, ...]
Each = Callable[[], Iterator[tuple[str, Reading]]]  # where it stands in the file, and the reading
AT, BOOT, SEQ, COOKER, PHASE, TARGET = (
    READING_COLUMNS.index(name) for name in ("at_s", "boot", "seq", "cooker", "phase", "target_c")
)


class Readings:
    """The readings, read anew each time somebody goes through them."""

    def __init__(self, each: Each) -> None:
        self._each = each

    def __iter__(self) -> Iterator[Reading]:
        return (reading for _, reading in self._each())


class Found(NamedTuple):
    """The first and the last reading, and the phases as the board named them each second, with its target then."""

    first: Reading
    last: Reading
    phases: list[Mapping[str, Any]]


def looked_through(each: Each) -> Found | None:
    """Check that they go by time, each record once, all of one cooker; None where there are none."""
    first = last = None
    phases: list[Mapping[str, Any]] = []
    seen: dict[str, set[int]] = {}
    for where, row in each():
        first = first or row
        _check_order(row, first, last or row, where)
        seqs = seen.setdefault(row[BOOT], set())
        if row[SEQ] in seqs:
            raise UserError(f"{where}, seq: {row[SEQ]!r}; boot {row[BOOT]!r} has it already, each once is right")
        seqs.add(row[SEQ])
        if row[PHASE] and (not phases or phases[-1]["phase"] != row[PHASE]):
            target_c = None if row[PHASE] == "bank" else row[TARGET]
            phases.append({"at_s": row[AT], "phase": row[PHASE], "target_c": target_c})
        last = row
    return None if first is None or last is None else Found(first, last, phases)


def _check_order(row: Reading, first: Reading, before: Reading, where: str) -> None:
    if row[COOKER] != first[COOKER]:
        raise UserError(f"{where}, cooker: {row[COOKER]!r}; {first[COOKER]!r} as before would be right")
    if row[AT] < before[AT]:
        raise UserError(f"{where}, at_s: {row[AT]!r}; not before {before[AT]!r} would be right")
