"""Rows that an earlier release could not read, read again: those that are plain now move into their table."""

from __future__ import annotations

from typing import Any, Protocol

import msgspec

from emberdraft.daemon import heard


class RawStore(Protocol):
    """What is needed of the store; see store.Store."""

    def raw_page(self, after_id: int = 0) -> list[dict[str, Any]]: ...

    def boot_offset(self, cooker: str, boot: str) -> float | None: ...

    def take_over_raw(self, row: dict[str, Any], record: dict[str, Any]) -> None: ...


def read_again(store: RawStore) -> int:
    """Go through all of them once, page by page; how many read now. StoreError if the store cannot."""
    done, last_id = 0, 0
    while rows := store.raw_page(last_id):
        last_id = rows[-1]["id"]
        done += sum(_taken(store, row) for row in rows)
    return done


def _taken(store: RawStore, row: dict[str, Any]) -> bool:
    offset_s = store.boot_offset(row["cooker"], row["boot"])
    if offset_s is None:
        return False  # no live row of that start has come: its place in time is not known
    try:
        record = msgspec.structs.asdict(heard.record_of(row["what"], row["payload"]))
        store.take_over_raw(row, {**record, "at_s": offset_s + record["ms"] / 1000.0})
    except (msgspec.MsgspecError, ValueError):  # a text that is no UTF-8 is a ValueError too
        return False
    return True
