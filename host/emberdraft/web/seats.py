"""Everybody's own phone at one tasting: each phone sits at one place, and no two at the same.

Kept while the host runs. A phone that asks again, after a restart too, names the place it had, for its plate stands
before it; it gets that one back unless somebody else has it or its answer was given.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any

Row = dict[str, Any]
HELD_S = 3600.0  # a phone that was not heard for so long has gone: its place is free


class Seats:
    """Safe from several threads."""

    def __init__(self, steady: Callable[[], float] = time.monotonic) -> None:
        self._steady = steady
        self._held: dict[
            int, dict[int, tuple[str, float]]
        ] = {}  # by tasting and place: the phone, and when it was heard
        self._lock = threading.Lock()

    def take(self, row: Row, phone: str, had: int | None = None) -> int | None:
        """The place of this phone at an open tasting: its own, the one it `had`, else the first that is free."""
        with self._lock:
            held = self._standing(row)
            own = [place for place, (who, _) in held.items() if who == phone]
            waiting = [serving["place"] for serving in row["servings"] if serving["at_s"] is None]
            free = [place for place in waiting if place not in held]
            wished = [had] if had in free else []
            place = next(iter([*own, *wished, *free]), None)
            if place is not None:
                held[place] = (phone, self._steady())
            return place

    def leave(self, row: Row, phone: str) -> None:
        """This phone's place is free again."""
        with self._lock:
            held = self._standing(row)
            self._held[row["id"]] = {place: kept for place, kept in held.items() if kept[0] != phone}

    def _standing(self, row: Row) -> dict[int, tuple[str, float]]:
        """The seats of a tasting that are still held: not answered, and their phone not gone."""
        waiting = {serving["place"] for serving in row["servings"] if serving["at_s"] is None and row["end_s"] is None}
        least_s = self._steady() - HELD_S
        held = self._held.get(row["id"], {})
        self._held[row["id"]] = {place: kept for place, kept in held.items() if place in waiting and kept[1] >= least_s}
        return self._held[row["id"]]
