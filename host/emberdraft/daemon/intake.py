"""Rows of one start of a board on their way into the store, and the board's time on our clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Protocol

import msgspec

from emberdraft.daemon.drift import Drift
from emberdraft.daemon.heard import Event, Reading
from emberdraft.daemon.tally import Tallies
from emberdraft.store import StoreError

MOST_WAITING = 5000  # rows; the board still has what is thrown away here
MOST_REASON = 200  # letters


class RecordStore(Protocol):
    """What is needed of the store; see store.Store."""

    def note_boot(self, cooker: str, boot: str, offset_s: float) -> None: ...

    def boot_offset(self, cooker: str, boot: str) -> float | None: ...

    def add_records(self, cooker: str, boot: str, rows: list[dict[str, Any]]) -> int: ...

    def add_raw(self, cooker: str, boot: str, rows: list[dict[str, Any]]) -> int: ...

    def mark_of(self, cooker: str, boot: str) -> int: ...

    def begin_boot_at(self, cooker: str, boot: str, oldest: int) -> None: ...

    def settle_lost(self, cooker: str, boot: str, first: int, last: int) -> None: ...

    def close_earlier(self, cooker: str, boot: str, held: dict[str, int]) -> list[tuple[str, int]]: ...


@dataclass
class Intake:
    """One start (`boot`) of one cooker's board."""

    cooker: str
    boot: str
    store: RecordStore
    tallies: Tallies
    oldest: int | None = None  # lowest seq the board held at its last word
    offset_s: float | None = None  # our clock at uptime 0
    drift: Drift = field(default_factory=Drift)
    rows: list[dict[str, Any]] = field(default_factory=list)
    raw: list[dict[str, Any]] = field(default_factory=list)  # what cannot be read, for store/raw.py
    settled: list[tuple[str, int, int]] = field(default_factory=list)  # (boot, first, last)
    ready: bool = False

    def hears(self, oldest: int, ms: int, at_s: float, late: bool) -> None:
        """Any live message: what the board holds, and how its time lies on ours.

        The least delay seen before the first row is stored is the best estimate; after that the
        offset only creeps after the crystals, so that rows of one start can never change their order.
        """
        self.oldest = oldest if self.oldest is None else max(self.oldest, oldest)
        if late:
            return
        offset_s = at_s - ms / 1000.0
        if not self.ready:
            self.offset_s = offset_s if self.offset_s is None else min(self.offset_s, offset_s)
        else:
            self.drift.heard(offset_s, at_s)

    def add(self, record: Reading | Event, arrived_s: float) -> None:
        """Keep a row for the next commit; too many are dropped, the board has them still."""
        if self._full(record.seq):
            return
        self.rows.append({**msgspec.structs.asdict(record), "arrived_s": arrived_s})

    def settle(self, boot: str, first: int, last: int) -> None:
        """Rows of `boot`, this start or an earlier one, will never come."""
        self.settled.append((boot, first, last))

    def add_raw(self, seq: int, what: str, arrived_s: float, reason: str, payload: bytes) -> None:
        """Keep a record that cannot be read, as it came."""
        if not self._full(seq):
            row = {"seq": seq, "what": what, "arrived_s": arrived_s, "reason": reason[:MOST_REASON], "payload": payload}
            self.raw.append(row)

    def _full(self, seq: int) -> bool:
        full = len(self.rows) + len(self.raw) >= MOST_WAITING
        if full:
            self.tallies.add("overrun", f"{self.cooker} boot {self.boot} seq {seq}")
        return full

    def waiting(self) -> bool:
        """True if there is something to commit."""
        return bool(self.rows or self.raw or self.settled)

    def commit(self) -> tuple[list[dict[str, Any]], int]:
        """Bring all rows to the disk; (rows stored, mark to acknowledge).

        StoreError if the store cannot take them now: the rows stay here and go with the next try.
        """
        self._make_ready()
        self._follow_drift()
        rows = self.rows if self.ready else []
        if not self.ready and self.rows:
            self.tallies.add("no_clock", f"{self.cooker} boot {self.boot}: {len(self.rows)} rows")
        for row in rows:
            row["at_s"] = (self.offset_s or 0.0) + row["ms"] / 1000.0
        if rows:
            rows = self._store_rows(rows)
        self.rows = []
        self._store_raw()
        for boot, first, last in self.settled:
            self.store.settle_lost(self.cooker, boot, first, last)
        self.settled = []
        return rows, self._mark()

    def _make_ready(self) -> None:
        """At the first commit: take the time known from before, or note it now."""
        if self.ready:
            return
        known_s = self.store.boot_offset(self.cooker, self.boot)
        if known_s is not None:
            self.offset_s = known_s
        elif self.offset_s is not None:
            self.store.note_boot(self.cooker, self.boot, self.offset_s)
        else:
            return
        self.store.begin_boot_at(self.cooker, self.boot, self.oldest or 0)
        self.ready = True

    def _follow_drift(self) -> None:
        """Every ten minutes the offset goes a little way towards what was heard."""
        creep_s = 0.0 if self.offset_s is None else self.drift.creep_s(self.offset_s)
        if self.offset_s is not None and creep_s:
            self.offset_s += creep_s
            self.store.note_boot(self.cooker, self.boot, self.offset_s)

    def _store_rows(self, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
        try:
            self.store.add_records(self.cooker, self.boot, rows)
        except StoreError:
            raise
        except Exception:
            return [row for row in rows if self._store_alone(row)]
        return rows

    def _store_alone(self, row: dict[str, Any]) -> bool:
        """One row by itself, after the batch failed: a row that this store can never take is kept raw,
        or the board would send it for ever."""
        try:
            self.store.add_records(self.cooker, self.boot, [row])
        except StoreError:
            raise
        except Exception as error:
            self.tallies.add("malformed", f"{self.cooker} seq {row['seq']}: {error}")
            what = "event" if "kind" in row else "reading"
            self.add_raw(row["seq"], what, row["at_s"], str(error), msgspec.json.encode(row))
            return False
        return True

    def _store_raw(self) -> None:
        if not self.raw:
            return
        lost = self.store.add_raw(self.cooker, self.boot, self.raw)
        if lost:
            self.tallies.add("no_room", f"{self.cooker} boot {self.boot}: {lost} of {len(self.raw)}")
        self.raw = []

    def _mark(self) -> int:
        """All below is on disk or settled. What the board does not hold any more will never come:
        messages of one board arrive in their order."""
        mark = self.store.mark_of(self.cooker, self.boot)
        if self.ready and self.oldest is not None and self.oldest > mark:
            self.store.settle_lost(self.cooker, self.boot, mark, self.oldest - 1)
            mark = self.store.mark_of(self.cooker, self.boot)
        return mark
