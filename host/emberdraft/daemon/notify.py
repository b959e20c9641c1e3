"""Notices to the outside, and the log. Off the main thread, bounded, never fatal.

Every way out (way_out.py) gets one object: docs/reference/calls.md has its keys. A dead one holds up nothing but its
own messages, which are tried again and counted.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Mapping, Sequence
from typing import Any

from emberdraft.daemon.calls import FIRST, SECOND
from emberdraft.daemon.channels import LONGEST_WAIT_S, Channel
from emberdraft.daemon.way_out import WayOut
from emberdraft.errors import UserError

log = logging.getLogger(__name__)

TEST = {
    "kind": "test",
    "title": "A test notice",
    "text": "Nothing is wrong. Open the link on this phone: that says that it is reached.",
    "again": 0,
    "wakes": "house",
    "over": False,
}
NONE_SET = "no notices are set: fill in the form under Calls on the page, or notify in the settings file"


class Notifier:
    """Sends each notice by its ways. Without one there is the log alone. `page`: address at which a phone finds it."""

    def __init__(self, channels: Sequence[Channel] = (), second: Sequence[Channel] = (), page: str = "") -> None:
        self.page = page
        self._ways: dict[str, list[WayOut]] = {}
        self._started = False
        self._testing = threading.Lock()
        self.use(channels, second)

    @property
    def channels(self) -> tuple[Channel, ...]:
        """All that is set, the first way's before the second's."""
        return tuple(way.channel for way in self._all())

    @property
    def has_second(self) -> bool:
        """Whether a second way out is set."""
        return bool(self._ways[SECOND])

    @property
    def trouble(self) -> str:
        """What the ways that failed last said; '' when all is well."""
        return "; ".join(way.trouble for way in self._all() if way.trouble)

    @property
    def sent(self) -> int:
        """Messages that arrived."""
        return sum(way.sent for way in self._all())

    @property
    def failed(self) -> int:
        """Tries that failed."""
        return sum(way.failed for way in self._all())

    @property
    def dropped(self) -> int:
        """Messages that were given up."""
        return sum(way.dropped for way in self._all())

    def use(self, channels: Sequence[Channel], second: Sequence[Channel]) -> None:
        """Other ways from now on; what waits in the old ones is tried once more."""
        old = self._all()
        self._ways = {FIRST: [WayOut(each) for each in channels], SECOND: [WayOut(each) for each in second]}
        for way in self._all() if self._started else ():
            way.start()
        for way in old:
            way.stop(0.0)

    def start(self) -> Notifier:
        """Begin to send."""
        self._started = True
        for way in self._all():
            way.start()
        return self

    def stop(self, wait_s: float = LONGEST_WAIT_S) -> None:
        """Send what waits, then end."""
        self._started = False
        for way in self._all():
            way.stop(wait_s)

    def send(self, notice: Mapping[str, Any], ways: Sequence[str] = (FIRST,)) -> None:
        """Hand a notice over; returns at once. Without a second way what is for it goes by the first."""
        log.info("%s: %s %s", notice.get("cooker"), notice.get("title"), notice.get("text"))
        there = self._ways[SECOND] or self._ways[FIRST]
        by = [*(self._ways[FIRST] if FIRST in ways else ()), *(there if SECOND in ways else ())]
        for way in dict.fromkeys(by) if self._started else ():
            way.hand(notice)

    def test(self, cooker: str, link: str = "") -> str:
        """Send a test by every way now, wait, and say how it went. UserError when one fails or none is set."""
        if not self.channels:
            raise UserError(NONE_SET)
        if not self._testing.acquire(blocking=False):
            raise UserError("a test notice is under way; wait for it")
        try:
            notice = {"cooker": cooker, **TEST, "at_s": time.time(), "page": link or self.page}
            troubles = [said for way in self._all() if (said := way.attempt(notice))]
        finally:
            self._testing.release()
        if troubles:
            raise UserError(f"test notice: {'; '.join(troubles)}")
        return f"Test notice sent by {', '.join(channel.name for channel in self.channels)}"

    def _all(self) -> list[WayOut]:
        return [way for ways in self._ways.values() for way in ways]
