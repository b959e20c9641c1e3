"""The hot path: readings and events into the file once each, and the mark below which nothing is missing."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterable, Mapping
from typing import Any

from emberdraft.store import lost, slices

CORE_PROBES = 4

_STAMP = ("cooker", "at_s", "boot", "seq", "ms", "late")
_CORES = tuple(f"core{k}_{what}" for k in range(1, CORE_PROBES + 1) for what in ("c", "fault"))
# Column in the table -> name in the record, where the two differ.
_TERMS = {"p_duty": "p", "i_duty": "i", "d_duty": "d", "ff_duty": "ff"}
_PLAIN = (
    *("mode", "phase", "pit_c", "stone_c", "board_c", "target_c", "ref_c"),
    *("duty", "drive", "opening", "lid_open", "fire", "why"),
)
READING_COLUMNS = (*_STAMP, "pit_fault", "stone_fault", *_CORES, *_PLAIN, *_TERMS)
EVENT_COLUMNS = (*_STAMP, "kind", "value", "limit_value", "text")


def _insert_sql(table: str, columns: tuple[str, ...]) -> str:
    places = ", ".join("?" * len(columns))
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({places}) ON CONFLICT DO NOTHING"


# What SQLite raises for a value of the wrong kind, by the table's rule or before it.
WRONG_VALUE = (sqlite3.IntegrityError, sqlite3.InterfaceError, sqlite3.ProgrammingError)
INSERT_READING = _insert_sql("reading", READING_COLUMNS)
_INSERT_EVENT = _insert_sql("event", EVENT_COLUMNS)

# Merged from three indexes in order, so that stopping at the first hole reads no further than the hole.
_SEQS_FROM = """
SELECT seq FROM reading WHERE cooker = :cooker AND boot = :boot AND seq >= :mark
UNION ALL
SELECT seq FROM event WHERE cooker = :cooker AND boot = :boot AND seq >= :mark
UNION ALL
SELECT seq FROM raw WHERE cooker = :cooker AND boot = :boot AND seq >= :mark
ORDER BY seq
"""
_LOST_OVER = """
SELECT max(last_seq) FROM lost
WHERE cooker = :cooker AND boot = :boot AND first_seq <= :mark AND last_seq >= :mark
"""


def add(db: sqlite3.Connection, cooker: str, boot: str, records: Iterable[Mapping[str, Any]]) -> int:
    """Store what is new among `records` (a record with `kind` is an event); how many were new.

    ValueError names a record that can never be stored: a value of the wrong kind, or one that is missing.
    """
    new = [record for record in records if _add_one(db, cooker, boot, record)]
    lost.uncover(db, cooker, boot, (record["seq"] for record in new))
    slices.renew(db, cooker, boot, [record["at_s"] for record in new if "kind" not in record])
    advance(db, cooker, boot)
    return len(new)


def _add_one(db: sqlite3.Connection, cooker: str, boot: str, record: Mapping[str, Any]) -> int:
    try:
        if "kind" in record:
            sql, row = _INSERT_EVENT, _event_row(cooker, boot, record)
        else:
            sql, row = INSERT_READING, _reading_row(cooker, boot, record)
        if math.inf in row or -math.inf in row:
            raise ValueError("an infinite number")
        return db.execute(sql, row).rowcount
    except (KeyError, ValueError, TypeError, OverflowError, *WRONG_VALUE) as error:
        what = f"{error} is missing" if isinstance(error, KeyError) else error
        raise ValueError(f"record {record.get('seq')} of {cooker}, boot {boot}, cannot be stored: {what}") from error


def mark_of(db: sqlite3.Connection, cooker: str, boot: str) -> int:
    """The lowest seq of this boot that is neither stored nor settled as lost."""
    row = db.execute("SELECT mark FROM boot WHERE cooker = ? AND boot = ?", (cooker, boot)).fetchone()
    return int(row[0]) if row else 0


def begin_at(db: sqlite3.Connection, cooker: str, boot: str, oldest: int) -> None:
    """A store that has never heard this boot begins at the lowest seq the board still holds."""
    _know(db, cooker, boot)
    db.execute(
        "UPDATE boot SET first_seq = :oldest, mark = max(mark, :oldest) "
        "WHERE cooker = :cooker AND boot = :boot AND first_seq IS NULL",
        {"cooker": cooker, "boot": boot, "oldest": oldest},
    )
    advance(db, cooker, boot)


def settle_lost(db: sqlite3.Connection, cooker: str, boot: str, first: int, last: int) -> None:
    """Records `first` to `last` (both included) that are not here will never come."""
    lost.tell(db, cooker, boot, first, last)
    advance(db, cooker, boot)


def note_boot(db: sqlite3.Connection, cooker: str, boot: str, offset_s: float) -> None:
    """Board uptime 0 of this boot was at `offset_s` unix seconds."""
    db.execute(
        "INSERT INTO boot (cooker, boot, offset_s) VALUES (?, ?, ?) "
        "ON CONFLICT (cooker, boot) DO UPDATE SET offset_s = excluded.offset_s",
        (cooker, boot, offset_s),
    )


def boot_offset(db: sqlite3.Connection, cooker: str, boot: str) -> float | None:
    """Unix seconds at uptime 0 of this boot, or None when it has not been noted."""
    row = db.execute("SELECT offset_s FROM boot WHERE cooker = ? AND boot = ?", (cooker, boot)).fetchone()
    return row[0] if row else None


def _know(db: sqlite3.Connection, cooker: str, boot: str) -> None:
    db.execute("INSERT INTO boot (cooker, boot) VALUES (?, ?) ON CONFLICT DO NOTHING", (cooker, boot))


def advance(db: sqlite3.Connection, cooker: str, boot: str) -> None:
    """Move the mark of this boot over all that is stored or settled now."""
    _know(db, cooker, boot)
    start = mark_of(db, cooker, boot)
    place = {"cooker": cooker, "boot": boot, "mark": start}
    while True:
        before = place["mark"]
        place["mark"] = _after_stored(db, place)
        place["mark"] = _after_lost(db, place)
        if place["mark"] == before:
            break
    if before != start:
        db.execute("UPDATE boot SET mark = :mark WHERE cooker = :cooker AND boot = :boot", place)


def _after_stored(db: sqlite3.Connection, place: Mapping[str, Any]) -> int:
    mark: int = place["mark"]
    for (seq,) in db.execute(_SEQS_FROM, place):
        if seq != mark:
            break
        mark += 1
    return mark


def _after_lost(db: sqlite3.Connection, place: Mapping[str, Any]) -> int:
    (last,) = db.execute(_LOST_OVER, place).fetchone()
    return int(place["mark"]) if last is None else int(last) + 1


def _stamp(cooker: str, boot: str, record: Mapping[str, Any]) -> list[Any]:
    return [cooker, record["at_s"], boot, record["seq"], record["ms"], int(bool(record.get("late")))]


def _reading_row(cooker: str, boot: str, record: Mapping[str, Any]) -> list[Any]:
    row = _stamp(cooker, boot, record)
    row += (record.get("pit_fault") or "", record.get("stone_fault") or "")
    row += _core_cells(record.get("core_c") or (), record.get("core_fault") or ())
    row += [record.get(name) for name in _PLAIN]
    row += [record.get(name) for name in _TERMS.values()]
    return row


def _core_cells(core_c: Any, core_fault: Any) -> list[Any]:
    """Value and fault of each probe in turn; a probe the board does not have is `absent`."""
    if len(core_c) > CORE_PROBES:
        raise ValueError(f"{len(core_c)} food probes in one reading; at most {CORE_PROBES} can be stored")
    cells: list[Any] = []
    for k in range(CORE_PROBES):
        here = k < len(core_c)
        fault = core_fault[k] if k < len(core_fault) else ("" if here else "absent")
        cells += (core_c[k] if here else None, fault)
    return cells


def _event_row(cooker: str, boot: str, record: Mapping[str, Any]) -> list[Any]:
    told = [record["kind"], record.get("value"), record.get("limit"), record.get("text") or ""]
    return _stamp(cooker, boot, record) + told
