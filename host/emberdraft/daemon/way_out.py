"""One way out for notices: a thread of its own, tries with back-off, and a deadline that no slow address can stretch.

A notice that failed is tried again after each of `AGAIN_S`, unless a newer one that says the same calls (and more) has
gone out by then. New notices never wait for old ones.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import threading
import time
from collections.abc import Callable, Mapping
from typing import Any

from msgspec import Struct

from emberdraft.daemon.channels import Channel

log = logging.getLogger(__name__)
Notice = Mapping[str, Any]

AGAIN_S = (2.0, 5.0, 15.0, 60.0, 300.0, 900.0)
DEADLINE_S = 8.0
WAITING = 32
MOST_HANGING = 4


class Waiting(Struct):
    """A notice that is to be sent at `due_s` (monotonic) for the `tries`-th time."""

    notice: Notice
    due_s: float
    order: int
    tries: int = 0


class WayOut:
    """`hand` a notice over; what went wrong last is in `trouble`."""

    def __init__(self, channel: Channel, now_s: Callable[[], float] = time.monotonic) -> None:
        self.channel = channel
        self.trouble = ""
        self.sent = self.failed = self.dropped = 0
        self._now_s = now_s
        self._waiting: list[Waiting] = []
        self._order = 0
        self._hanging = 0
        self._wake = threading.Condition()
        self._ending = False
        self._thread: threading.Thread | None = None

    def start(self) -> None:
        """Begin to send."""
        self._thread = threading.Thread(target=self._work, name=f"way out {self.channel.name}", daemon=True)
        self._thread.start()

    def stop(self, wait_s: float) -> None:
        """Try what waits once more, then end."""
        with self._wake:
            self._ending = True
            self._wake.notify()
        if self._thread is not None:
            self._thread.join(wait_s)

    def hand(self, notice: Notice) -> None:
        """Returns at once. What finds no room is dropped and counted, the oldest first."""
        with self._wake:
            self._order += 1
            self._waiting.append(Waiting(notice, self._now_s(), self._order))
            if len(self._waiting) > WAITING:
                self._waiting.remove(min(self._waiting, key=lambda one: one.order))
                self.dropped += 1
            self._wake.notify()

    def _work(self) -> None:
        while (one := self._next()) is not None:
            if self.attempt(one.notice):
                self._later(one)
            else:
                self._overtaken(one)

    def _next(self) -> Waiting | None:
        """The next that is due, waited for; None at the end."""
        with self._wake:
            while True:
                due = [one for one in self._waiting if self._ending or one.due_s <= self._now_s()]
                if due:
                    first = min(due, key=lambda one: (one.tries, one.order))
                    self._waiting.remove(first)
                    return first
                if self._ending:
                    return None
                soonest_s = min((one.due_s for one in self._waiting), default=None)
                self._wake.wait(None if soonest_s is None else max(0.0, soonest_s - self._now_s()))

    def _later(self, one: Waiting) -> None:
        with self._wake:
            if self._ending or one.tries >= len(AGAIN_S):
                self.dropped += 1
                return
            one.due_s, one.tries = self._now_s() + AGAIN_S[one.tries], one.tries + 1
            self._waiting.append(one)

    def _overtaken(self, one: Waiting) -> None:
        with self._wake:
            self._waiting = [each for each in self._waiting if each.order > one.order or not _says(one, each)]

    def attempt(self, notice: Notice) -> str:
        """One try, over within the deadline; '' or what went wrong. Never raises."""
        answer: queue.Queue[Exception | None] = queue.Queue()
        with self._wake:
            if self._hanging >= MOST_HANGING:
                return self._failed(TimeoutError(f"{self._hanging} tries hang without an answer"))
            self._hanging += 1
        threading.Thread(target=self._try, args=(notice, answer), name="try", daemon=True).start()
        said: Exception | None = TimeoutError(f"no answer within {DEADLINE_S:.0f} s")
        with contextlib.suppress(queue.Empty):
            said = answer.get(timeout=DEADLINE_S)
        if said is not None:
            return self._failed(said)
        self.sent, self.trouble = self.sent + 1, ""
        return ""

    def _try(self, notice: Notice, answer: queue.Queue[Exception | None]) -> None:
        try:
            self.channel.send(notice)
            answer.put(None)
        except Exception as error:
            answer.put(error)
        finally:
            with self._wake:
                self._hanging -= 1

    def _failed(self, error: Exception) -> str:
        self.failed, self.trouble = self.failed + 1, self.channel.trouble(error)
        log.warning("%s", self.trouble)
        return self.trouble


def _says(newer: Waiting, older: Waiting) -> bool:
    """Whether the newer notice says all that the older one does."""
    calls = older.notice.get("calls")
    same_cooker = newer.notice.get("cooker") == older.notice.get("cooker")
    return bool(calls) and same_cooker and set(calls or ()) <= set(newer.notice.get("calls") or ())
