"""Notices to the outside, and the log. Off the main thread, bounded, never fatal.

Every channel (channels.py) gets one object: cooker, kind, title, text, at_s (unix s), again (how often it was said
before), page. A dead channel costs nothing but its own messages, which are counted.
"""

from __future__ import annotations

import contextlib
import logging
import queue
import threading
import time
from collections.abc import Mapping, Sequence
from typing import Any

from emberdraft.daemon.channels import LONGEST_WAIT_S, Channel
from emberdraft.errors import UserError

log = logging.getLogger(__name__)

WAITING = 32
TEST = {
    "kind": "test",
    "title": "A test notice",
    "text": "Nothing is wrong. Somebody wants to see that notices arrive.",
    "again": 1,
}
NONE_SET = "no notices are set: notify.webhook or notify.apprise_file in the settings file would be right"


class Notifier:
    """Sends notices one after another on a thread of its own. Without a channel there is the log alone."""

    def __init__(self, channels: Sequence[Channel] = (), page: str = "") -> None:
        self.channels = tuple(channels)
        self.page = page
        self.sent = self.dropped = self.failed = 0
        self.troubles: dict[str, str] = {}
        self._queue: queue.Queue[Mapping[str, Any] | None] = queue.Queue(WAITING)
        self._thread: threading.Thread | None = None
        self._testing = threading.Lock()

    @property
    def trouble(self) -> str:
        """What the channels that failed last said; '' when all is well."""
        return "; ".join(self.troubles.values())

    def start(self) -> Notifier:
        """Begin to send; without a channel there is nothing to begin."""
        if self.channels and self._thread is None:
            self._thread = threading.Thread(target=self._work, name="notify", daemon=True)
            self._thread.start()
        return self

    def stop(self, wait_s: float = LONGEST_WAIT_S) -> None:
        """Send what waits, then end."""
        thread, self._thread = self._thread, None
        if thread is not None:
            with contextlib.suppress(queue.Full):
                self._queue.put(None, timeout=wait_s)
            thread.join(wait_s)

    def send(self, notice: Mapping[str, Any]) -> None:
        """Hand a notice over; returns at once. What finds no room is dropped and counted."""
        log.info("%s: %s %s", notice.get("cooker"), notice.get("title"), notice.get("text"))
        if self._thread is not None:
            self._put({**notice, "page": self.page})

    def test(self, cooker: str) -> str:
        """Send a test by every channel now, wait, and say how it went. UserError when one fails or none is set."""
        if not self.channels:
            raise UserError(NONE_SET)
        if not self._testing.acquire(blocking=False):
            raise UserError("a test notice is under way; wait for it")
        try:
            notice = {"cooker": cooker, **TEST, "at_s": time.time(), "page": self.page}
            troubles = [said for channel in self.channels if (said := self._by(channel, notice))]
        finally:
            self._testing.release()
        if troubles:
            raise UserError(f"test notice: {'; '.join(troubles)}")
        return f"Test notice sent by {', '.join(channel.name for channel in self.channels)}"

    def _put(self, notice: Mapping[str, Any] | None) -> None:
        try:
            self._queue.put_nowait(notice)
        except queue.Full:
            self.dropped += 1

    def _work(self) -> None:
        while (notice := self._queue.get()) is not None:
            for channel in self.channels:
                self._by(channel, notice)

    def _by(self, channel: Channel, notice: Mapping[str, Any]) -> str:
        """One notice by one channel; '' or what went wrong."""
        try:
            channel.send(notice)
        except Exception as error:
            self.failed += 1
            self.troubles[channel.name] = channel.trouble(error)
            log.warning("%s", self.troubles[channel.name])
            return self.troubles[channel.name]
        self.sent += 1
        self.troubles.pop(channel.name, None)
        return ""
