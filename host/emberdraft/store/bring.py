"""Bringing a whole cook into a database from elsewhere: all of it or nothing, and never mixed with what is there."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from emberdraft.store import cooks, records, slices
from emberdraft.store.errors import StoreError
from emberdraft.store.span import NO_END_S

Row = Mapping[str, Any]

# What belongs to a cook by its number, and what belongs to its cooker; the columns of each that travel.
OF_COOK = {
    "phases": ("phase", ("at_s", "phase", "target_c")),
    "pieces": ("piece", ("letter", *cooks.PIECE_CHANGES)),
    "marks": ("mark", ("at_s", "kind", "value", "text", "author")),
}
OF_COOKER = {
    "events": ("event", tuple(name for name in records.EVENT_COLUMNS if name != "cooker")),
    "alarms": ("alarm", ("alert", "kind", "at_s", "state", "acknowledged_s", "cleared_s", *cooks.ALARM_COLUMNS)),
    "orders": ("order_", ("n", "boot", "at_s", "name", "args", "author", "code", "text")),
    "tunings": ("tuning", ("at_s", "gains", "order_n")),
    "lost": ("lost", ("boot", "first_seq", "last_seq")),
}
JSON_COLUMNS = ("args", "gains")


def bring(db: sqlite3.Connection, cook: Row, readings: Iterable[Sequence[Any]], parts: Mapping[str, list[Row]]) -> int:
    """Write a cook that has ended, under the cooker named in `cook`; its new number.

    `readings` in the order of records.READING_COLUMNS, by time; gone through once. StoreError when something of this
    cooker is there already in that time: readings belong to a cook by cooker and time alone.
    """
    cooker = cook["cooker"]
    _check_free(db, cook)
    boots: dict[str, _Boot] = {}
    db.executemany(records.INSERT_READING, _under(cooker, readings, boots))
    _check_new(db, cooker, boots)
    for name, boot in boots.items():
        known = {"offset_s": boot.offset_s, "first_seq": boot.first_seq, "mark": boot.last_seq + 1}
        cooks.insert(db, "boot", {"cooker": cooker, "boot": name, **known})
        slices.renew(db, cooker, name, boot.moments_s.values())
    cook_id = cooks.insert(db, "cook", {**cook, "plan_id": _plan(db, parts)})
    for part, (table, columns) in OF_COOK.items():
        for row in parts.get(part, ()):
            _put(db, part, table, {"cook_id": cook_id, **_only(row, columns)})
    for part, (table, columns) in OF_COOKER.items():
        more = {"cook_id": cook_id} if table == "alarm" else {}
        for row in parts.get(part, ()):
            _put(db, part, table, {"cooker": cooker, **more, **_only(row, columns)})
    return cook_id


def _put(db: sqlite3.Connection, part: str, table: str, values: Row) -> None:
    try:
        cooks.insert(db, table, values)
    except records.WRONG_VALUE as error:
        raise StoreError(f"{part}: {str(values)[:120]} cannot be kept ({error}); export the cook anew") from error


_AT, _BOOT, _SEQ, _MS = (records.READING_COLUMNS.index(name) for name in ("at_s", "boot", "seq", "ms"))


@dataclass
class _Boot:
    """What is to be known of one start of a board: its clock, its numbers, one moment of each slice."""

    offset_s: float
    first_seq: int
    last_seq: int
    moments_s: dict[int, float]


def _under(cooker: str, readings: Iterable[Sequence[Any]], boots: dict[str, _Boot]) -> Iterator[Sequence[Any]]:
    """The readings as those of this cooker; `boots` is filled in on the way."""
    place = records.READING_COLUMNS.index("cooker")
    for row in readings:
        at_s, seq = row[_AT], row[_SEQ]
        boot = boots.get(row[_BOOT])
        if boot is None:
            boot = boots[row[_BOOT]] = _Boot(at_s - row[_MS] / 1000.0, seq, seq, {})
        boot.first_seq, boot.last_seq = min(boot.first_seq, seq), max(boot.last_seq, seq)
        boot.moments_s[slices.number_of(at_s)] = at_s
        yield (*row[:place], cooker, *row[place + 1 :])


def _check_free(db: sqlite3.Connection, cook: Row) -> None:
    span = {"cooker": cook["cooker"], "start_s": cook["start_s"], "end_s": cook["end_s"], "open_s": NO_END_S}
    then = "cooker = :cooker AND start_s <= :end_s AND coalesce(end_s, :open_s) >= :start_s"
    same = db.execute(f"SELECT id, name FROM cook WHERE {then}", span).fetchone()
    if same:
        raise StoreError(f"{cook['cooker']} has cook {same[0]} ({same[1]}) in that time already; {_OTHER}")
    here = "SELECT 1 FROM reading WHERE cooker = :cooker AND at_s >= :start_s AND at_s <= :end_s LIMIT 1"
    if db.execute(here, span).fetchone():
        raise StoreError(f"{cook['cooker']} has readings of that time already; {_OTHER}")


def _check_new(db: sqlite3.Connection, cooker: str, found: Mapping[str, _Boot]) -> None:
    """What was written already is taken back with the rest where a start of the board is known."""
    boots = {"cooker": cooker, "boots": json.dumps(sorted(found))}
    known = "SELECT 1 FROM boot WHERE cooker = :cooker AND boot IN (SELECT value FROM json_each(:boots)) LIMIT 1"
    if db.execute(known, boots).fetchone():
        raise StoreError(f"{cooker} has readings of that board start already; {_OTHER}")


_OTHER = "bring it under another name of the cooker (--cooker NAME)"


def _plan(db: sqlite3.Connection, parts: Mapping[str, list[Row]]) -> int | None:
    plan = next(iter(parts.get("plan", ())), None)
    return None if plan is None else cooks.add_plan(db, plan["text"], plan["name"])


def _only(row: Row, columns: Sequence[str]) -> dict[str, Any]:
    """The columns that travel; a JSON column as its text. One that an older file lacks is left to its default."""
    return {name: json.dumps(row[name]) if name in JSON_COLUMNS else row[name] for name in columns if name in row}
