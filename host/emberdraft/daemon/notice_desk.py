"""Whether a person can be reached: the ways that are set, the form that sets them, and a test confirmed from the phone.

A test notice carries a link with a token that is good once and for half an hour. The page behind it tells the host with
a POST of its own, so that a program that only looks at links in messages confirms nothing. Times in unix s.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from emberdraft.daemon import notice_settings
from emberdraft.daemon.notice_settings import Change, Ways
from emberdraft.daemon.notify import Notifier
from emberdraft.errors import UserError

Row = dict[str, Any]
TOKEN_S = 1800.0
OFF = "phone calls are OFF: no way out is set; the form under Calls on the page sets one"
REACHED = "reached"


class NoticeDesk:
    """One for the whole host. `path`: where the form's settings are kept; None = nowhere, they cannot be set here."""

    def __init__(
        self, notifier: Notifier, store: Any, now_s: Callable[[], float], path: Path | None = None, page: str = ""
    ) -> None:
        """`page`: where the page is found when nobody has set another address."""
        self.notifier = notifier
        self._store, self._now_s, self._path = store, now_s, path
        self._page = notifier.page or page
        self._token: tuple[str, float] | None = None
        self._lock = threading.Lock()
        self.ways = (notice_settings.read(path) if path is not None else None) or Ways()
        if self.ways != Ways():
            notifier.use(self.ways.first(), self.ways.second())
        notifier.page = self.ways.page or self._page

    def change(self, change: Change) -> str:
        """What the form sends; the line that says what holds now. Whoever was reached before is asked anew."""
        if self._path is None:
            raise UserError("notices: this host was given no place to keep them; `emberdraft serve` has one")
        with self._lock:
            ways = notice_settings.changed(self.ways, change)
            notice_settings.write(self._path, ways)
            self.ways = ways
            self.notifier.use(ways.first(), ways.second())
            self.notifier.page = ways.page or self._page
            self._store.keep(REACHED, "")
        return "Kept. Send a test, and open its link on the phone." if self.notifier.channels else "Kept: no way out."

    def test(self, cooker: str) -> str:
        """Send a test with a link; says how it went."""
        token = secrets.token_urlsafe(24)
        with self._lock:
            self._token = (_digest(token), self._now_s() + TOKEN_S)
        link = f"{self.notifier.page}reached#{token}" if self.notifier.page else ""
        return self.notifier.test(cooker, link)

    def confirm(self, token: str, device: str) -> str:
        """The link was opened on a phone: it is reached. UserError when the link is wrong or over."""
        with self._lock:
            kept, self._token = self._token, None
            if kept is None or self._now_s() > kept[1] or not hmac.compare_digest(kept[0], _digest(token)):
                raise UserError("this link is wrong, over, or used: send another test notice")
            now_s = self._now_s()
            self._store.keep(REACHED, f"{now_s} {' '.join(device.split())[:60]}")
        return f"This phone is reached: confirmed {_day(now_s)}"

    def reached(self) -> Row | None:
        """When a phone last said that it is reached, and which; None = never since the ways were set."""
        at, _, device = (self._store.kept(REACHED) or "").partition(" ")
        return {"at_s": float(at), "device": device} if at else None

    def state(self) -> Row:
        """What may be told: whether a person can be reached, and what is set, without an address."""
        ok, text = self.check()
        set_ = {"settable": self._path is not None, "ways": self.ways.masked(), "second": self.notifier.has_second}
        ways = ", ".join(channel.name for channel in self.notifier.channels)
        return {"ok": ok, "text": text, "by": ways, "reached": self.reached(), **set_}

    def check(self) -> tuple[bool, str]:
        """Whether phone calls are well, and the sentence that says so."""
        notifier, reached = self.notifier, self.reached()
        if not notifier.channels:
            return False, OFF
        ways = ", ".join(channel.name for channel in notifier.channels)
        counted = f"{ways}: {notifier.sent} sent, {notifier.failed} tries failed, {notifier.dropped} given up"
        if notifier.trouble:
            return False, f"{notifier.trouble}; {counted}"
        if reached is None:
            return False, f"no phone has confirmed a test notice yet; {counted}"
        return True, f"a phone confirmed {_day(reached['at_s'])}; {counted}"


def _day(at_s: float) -> str:
    """'30 Nov, 22:10', in the host's time zone: it may be days ago."""
    return time.strftime("%d %b, %H:%M", time.localtime(at_s))


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
