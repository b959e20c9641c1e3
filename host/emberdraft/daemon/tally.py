"""What came that could not be used: counted by kind, with the last example, for `emberdraft doctor`."""

from __future__ import annotations

import threading
from dataclasses import dataclass

EXAMPLE_LENGTH = 200

# kind -> what it means, in words for a person
KINDS = {
    "malformed": "messages that are not what the wire describes; of readings and events see those kept as they came",
    "not_believed": "losses told of rows that the start they name cannot have made",
    "no_room": "batches with rows that could not be read and found no room: recorded as lost",
    "foreign": "messages on topics that are none of ours",
    "other_version": "messages of another wire version",
    "retained_row": "readings or events that a broker had kept: not the present",
    "too_large": "messages larger than any of ours",
    "overrun": "messages dropped because they came faster than they could be stored; the board sends them again",
    "no_clock": "late rows of a start whose clock is not known yet; the board sends them again",
    "not_stored": "batches that the store could not take; the readings wait on the board",
    "callback": "errors in a listener of ours",
}


@dataclass(frozen=True)
class Tally:
    """How often, and the last one as text."""

    count: int
    example: str


class Tallies:
    """Counts by kind; safe between threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._by_kind: dict[str, Tally] = {}

    def add(self, kind: str, example: str) -> int:
        """Count one more of `kind` (a key of KINDS); how many there are now."""
        with self._lock:
            count = self._by_kind[kind].count + 1 if kind in self._by_kind else 1
            self._by_kind[kind] = Tally(count, example[:EXAMPLE_LENGTH])
            return count

    def counts(self) -> dict[str, Tally]:
        """All kinds that occurred."""
        with self._lock:
            return dict(self._by_kind)
