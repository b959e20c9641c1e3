"""Notices to the outside: a plain webhook, and the log. Off the main thread, bounded, never fatal.

The webhook gets one JSON object by POST: cooker, kind, title, text, at_s (unix s), again (how often it was said
before), page. A dead address costs nothing but its own messages, which are counted.
"""

from __future__ import annotations

import contextlib
import json
import logging
import queue
import threading
import urllib.request
from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlsplit

from emberdraft.errors import UserError

log = logging.getLogger(__name__)

LONGEST_WAIT_S = 5.0
WAITING = 32

Post = Callable[[str, bytes], None]


def post_json(url: str, body: bytes) -> None:
    """POST, with a deadline."""
    request = urllib.request.Request(url, body, {"Content-Type": "application/json"}, method="POST")
    with urllib.request.urlopen(request, timeout=LONGEST_WAIT_S) as answer:
        answer.read(1024)


class Notifier:
    """Sends notices one after another on a thread of its own. `url` '' means the log alone."""

    def __init__(self, url: str = "", page: str = "", post: Post = post_json) -> None:
        if url and (urlsplit(url).scheme not in ("http", "https") or not urlsplit(url).hostname):
            raise UserError(f"webhook {url!r}: an address such as https://example.org/hook would be right")
        self.url = url
        self.page = page
        self.sent = self.dropped = self.failed = 0
        self.trouble = ""
        self._post = post
        self._queue: queue.Queue[Mapping[str, Any] | None] = queue.Queue(WAITING)
        self._thread: threading.Thread | None = None

    def start(self) -> Notifier:
        """Begin to send; without an address there is nothing to begin."""
        if self.url and self._thread is None:
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

    def _put(self, notice: Mapping[str, Any] | None) -> None:
        try:
            self._queue.put_nowait(notice)
        except queue.Full:
            self.dropped += 1

    def _work(self) -> None:
        while (notice := self._queue.get()) is not None:
            try:
                self._post(self.url, json.dumps(notice).encode())
                self.sent += 1
                self.trouble = ""
            except Exception as error:
                self.failed += 1
                self.trouble = f"webhook: {type(error).__name__}: {error}"
                log.warning("%s", self.trouble)
