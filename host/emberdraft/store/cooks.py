"""Writing a cook: its phases, pieces, marks, orders, alarms. Each function is one change inside a transaction."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping
from typing import Any

from emberdraft.store.errors import StoreError
from emberdraft.store.span import ended, span_of

# A begin may reach us this much later than it was, in a demonstration's quick seconds: the board that is running may
# by then have sent readings after it.
LATE_BEGIN_S = 600.0
# Boots with readings after a moment, the last of these, and whether the boot is the newest of its cooker.
_LAST_READINGS = """
SELECT id, max(at_s), id = (SELECT max(id) FROM boot WHERE cooker = :cooker)
FROM reading JOIN boot USING (cooker, boot) WHERE cooker = :cooker AND at_s > :start_s GROUP BY id
"""
PIECE_COLUMNS = ("mass_kg", "thickness_m", "initial_c", "rest_c", "on_s", "pulled_s", "note")
PIECE_CHANGES = ("name", "probe", "pull_c", *PIECE_COLUMNS)
ALARM_COLUMNS = ("value", "limit_value", "cause", "consequence", "action", "snoozed_until_s")
ALARM_CHANGES = ("state", "acknowledged_s", "cleared_s", *ALARM_COLUMNS)


def insert(db: sqlite3.Connection, table: str, values: Mapping[str, Any]) -> int:
    """Insert one row; its id."""
    names = ", ".join(values)
    places = ", ".join("?" * len(values))
    cursor = db.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", tuple(values.values()))
    return int(cursor.lastrowid or 0)


def update(db: sqlite3.Connection, table: str, row_id: int, values: Mapping[str, Any]) -> None:
    """Change columns of the row with this id; a row that does not exist is an error."""
    if not values:
        return
    changes = ", ".join(f"{name} = ?" for name in values)
    cursor = db.execute(f"UPDATE {table} SET {changes} WHERE id = ?", (*values.values(), row_id))
    if cursor.rowcount == 0:
        raise StoreError(f"There is no {table} {row_id}.")


def only(names: Iterable[str], values: Mapping[str, Any], of: str) -> Mapping[str, Any]:
    """The values, when each has one of these names: SQL is built from them."""
    unknown = [name for name in values if name not in names]
    if unknown:
        raise TypeError(f"{of} has no {unknown[0]!r}; it has {', '.join(names)}")
    return values


def add_plan(db: sqlite3.Connection, text: str, name: str) -> int:
    """Keep a plan's text; the same name and text again give the same id."""
    db.execute("INSERT INTO plan (name, text) VALUES (?, ?) ON CONFLICT DO NOTHING", (name, text))
    (plan_id,) = db.execute("SELECT id FROM plan WHERE name = ? AND text = ?", (name, text)).fetchone()
    return int(plan_id)


def begin_cook(
    db: sqlite3.Connection, cooker: str, name: str, plan_id: int | None, start_s: float, invented: bool
) -> int:
    """Begin a cook; a cooker has one open cook at a time."""
    row = db.execute("SELECT id, name FROM cook WHERE cooker = ? AND end_s IS NULL", (cooker,)).fetchone()
    if row:
        raise StoreError(f"Cook {row[0]} ({row[1]}) on {cooker} has not ended. End it before beginning another.")
    values = {"cooker": cooker, "name": name, "plan_id": plan_id, "start_s": start_s, "invented": int(invented)}
    return insert(db, "cook", {**values, "first_boot": _first_boot(db, cooker, start_s)})


def break_off(db: sqlite3.Connection, cooker: str, how: str) -> int | None:
    """End the cook that was left open, at its last reading; its id, or None when there is none."""
    row = db.execute("SELECT id FROM cook WHERE cooker = ? AND end_s IS NULL", (cooker,)).fetchone()
    if row is None:
        return None
    update(db, "cook", row[0], {"end_s": ended(db, span_of(db, row[0], None, None))["end_s"], "how": how})
    return int(row[0])


def _first_boot(db: sqlite3.Connection, cooker: str, start_s: float) -> int:
    """The first boot whose readings can be of a cook that begins now.

    A cook cannot begin before readings that are already here. When it does, the clock has gone back: a simulated
    cooker ran faster than real time and another follows it, or the computer's clock was mended. What was heard until
    now is then of another time line, and its cooks end with it.
    """
    ahead = db.execute(_LAST_READINGS, {"cooker": cooker, "start_s": start_s}).fetchall()
    broken = max(
        (boot_id for boot_id, last_s, newest in ahead if not newest or last_s > start_s + LATE_BEGIN_S), default=None
    )
    if broken is None:
        (first,) = db.execute("SELECT coalesce(max(first_boot), 0) FROM cook WHERE cooker = ?", (cooker,)).fetchone()
        return int(first)
    db.execute("UPDATE cook SET last_boot = ? WHERE cooker = ? AND last_boot IS NULL", (broken, cooker))
    return int(broken) + 1


def next_order_n(db: sqlite3.Connection, cooker: str, above: int) -> int:
    """A number for the next order, also above `above`: it rises over restarts and is never given twice."""
    key = f"order_n {cooker}"
    row = db.execute("SELECT value FROM state WHERE key = ?", (key,)).fetchone()
    (used,) = db.execute("SELECT coalesce(max(n), 0) FROM order_ WHERE cooker = ?", (cooker,)).fetchone()
    n = max(int(row[0]) if row else 0, int(used), above) + 1
    save(db, key, str(n))
    return n


def add_order(db: sqlite3.Connection, cooker: str, n: int, args: Mapping[str, Any], values: Mapping[str, Any]) -> None:
    """Keep an order as it is sent."""
    insert(db, "order_", {"cooker": cooker, "n": n, "args": json.dumps(args), **values})


def set_reply(db: sqlite3.Connection, cooker: str, n: int, code: str, text: str) -> None:
    """Keep the board's answer to order `n`; an answer to an order that is not ours is left alone."""
    db.execute("UPDATE order_ SET code = ?, text = ? WHERE cooker = ? AND n = ?", (code, text, cooker, n))


def add_tuning(db: sqlite3.Connection, cooker: str, at_s: float, gains: Mapping[str, Any], order_n: int | None) -> int:
    """Keep the gains a board reports in force."""
    values = {"cooker": cooker, "at_s": at_s, "gains": json.dumps(gains), "order_n": order_n}
    return insert(db, "tuning", values)


def save(db: sqlite3.Connection, key: str, value: str) -> None:
    """Keep a value under a key, over whatever was there."""
    db.execute(
        "INSERT INTO state (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        (key, value),
    )
