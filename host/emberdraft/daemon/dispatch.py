"""Orders on their way to a board: sent, sent again with the same number, answered or given up.

Sending again is harmless: the board carries out a number once and repeats its answer. No clock and
no network here; time is passed in.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import Any

AGAIN_AFTER_REAL_S = 1.0
GRACE_REAL_S = 2.0  # after an order is void, its answer may still be under way

NO_REPLY = "no_reply"
NOTHING_SAID = "The board did not answer in time; whether it carried the order out shows in its readings."
REMEMBERED = 64  # answers kept for those who ask late


@dataclass
class Pending:
    """One order; `reply` is None until it is answered or given up."""

    cooker: str
    n: int
    payload: bytes
    void_at_s: float
    sent_at_s: float
    answered: threading.Event = field(default_factory=threading.Event)
    reply: dict[str, Any] | None = None


class Dispatch:
    """Orders by cooker and number; `speed` is how many times faster than real time the clock runs."""

    def __init__(self, speed: float = 1.0) -> None:
        self._again_after_s = AGAIN_AFTER_REAL_S * speed
        self._grace_s = GRACE_REAL_S * speed
        self._lock = threading.Lock()
        self._pending: dict[tuple[str, int], Pending] = {}
        self._done: dict[tuple[str, int], Pending] = {}

    def add(self, cooker: str, n: int, payload: bytes, now_s: float, valid_s: float) -> Pending:
        """An order that was sent now and is void after `valid_s`."""
        pending = Pending(cooker, n, payload, now_s + valid_s, now_s)
        with self._lock:
            self._pending[cooker, n] = pending
        return pending

    def find(self, cooker: str, n: int) -> Pending | None:
        """An order that waits for its answer, or was answered lately."""
        with self._lock:
            return self._pending.get((cooker, n)) or self._done.get((cooker, n))

    def answered(self, cooker: str, n: int, reply: dict[str, Any]) -> bool:
        """The board's answer; False if nobody waits for it (a repeat, or not ours)."""
        with self._lock:
            pending = self._pending.get((cooker, n))
            if pending is not None:
                self._finish(pending, reply)
        return pending is not None

    def due(self, now_s: float) -> list[Pending]:
        """Orders to be sent again now."""
        with self._lock:
            due = [one for one in self._pending.values() if self._is_due(one, now_s)]
        for one in due:
            one.sent_at_s = now_s
        return due

    def given_up(self, now_s: float) -> list[Pending]:
        """Orders that are void and were never answered, each named once, with a reply that says so."""
        with self._lock:
            over = [one for one in self._pending.values() if now_s > one.void_at_s + self._grace_s]
            for one in over:
                self._finish(one, {"n": one.n, "boot": "", "code": NO_REPLY, "text": NOTHING_SAID, "ms": 0})
        return over

    def _finish(self, pending: Pending, reply: dict[str, Any]) -> None:
        key = (pending.cooker, pending.n)
        del self._pending[key]
        if len(self._done) >= REMEMBERED:
            del self._done[next(iter(self._done))]
        self._done[key] = pending
        pending.reply = reply
        pending.answered.set()

    def _is_due(self, one: Pending, now_s: float) -> bool:
        return now_s - one.sent_at_s >= self._again_after_s and now_s <= one.void_at_s
