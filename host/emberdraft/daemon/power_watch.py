"""A board that started again in the middle of a hold or a climb: it stands without air until a person orders some."""

from __future__ import annotations

from typing import Any

Row = dict[str, Any]
CUT_SHORT = ("was hold", "was drive")  # events `boot` of the wire: docs/reference/wire.md


class PowerWatch:
    """Fed with events; asked each second whether the board still stands where its new start has left it."""

    def __init__(self) -> None:
        self._boot = ""

    def hear(self, row: Row) -> None:
        """An event of the board, late or not: it is sent when the link is back."""
        if row.get("kind") == "boot" and row.get("text") in CUT_SHORT:
            self._boot = row["boot"]

    def look(self, reading: Row | None) -> tuple[None, None] | None:
        """Figures of an alarm that has none, while the newest reading is of that start and off."""
        stands = self._boot and reading is not None and reading["boot"] == self._boot and reading["mode"] == "off"
        return (None, None) if stands else None
