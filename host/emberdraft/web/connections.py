"""Connections that are kept open for nothing never stop the page, nor take the files that the link to the boards needs.

uvicorn waits for the rest of a request as long as it takes, and takes every connection: a thousand half requests used
up the process's files. Here a request has ten seconds, who does not read an answer a minute, and there are never more
than LOCAL + REMOTE connections. Where there are too many, the one goes that has waited longest for its request: who
sends a whole one is answered.
"""

from __future__ import annotations

import asyncio
import ipaddress
from typing import cast

from uvicorn.protocols.http.h11_impl import H11Protocol

REQUEST_S, READ_S = 10.0, 60.0
# A browser keeps six to a host, and one stream. A thousand files is what a process may have by default: a fifth of it.
LOCAL, REMOTE, AN_ADDRESS = 64, 128, 32


def is_loopback(address: str) -> bool:
    """Whether an address is one of this machine to itself."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


class BoundedProtocol(H11Protocol):  # type: ignore[misc]  # uvicorn's is untyped here
    """One connection: its request comes in time, and it makes room for others."""

    _due: asyncio.TimerHandle | None = None
    _unread: asyncio.TimerHandle | None = None
    since_s = 0.0

    @property
    def address(self) -> str:
        """Who is at the other end."""
        return self.client[0] if self.client else ""

    @property
    def waiting(self) -> bool:
        """Whether nothing is being answered here."""
        return self.cycle is None or self.cycle.response_complete

    def connection_made(self, transport: asyncio.Transport) -> None:
        super().connection_made(transport)
        self._expect_request()
        for crowd, most in self._crowds():
            if len(crowd) > most:
                waiting = [each for each in crowd if each.waiting and each is not self]
                min(waiting, key=lambda each: each.since_s, default=self).give_up()

    def connection_lost(self, exc: Exception | None) -> None:
        self._cancel()
        super().connection_lost(exc)

    def handle_events(self) -> None:
        before = self.cycle
        super().handle_events()
        if self.cycle is not before and self._due is not None:
            self._due.cancel()

    def on_response_complete(self) -> None:
        self._expect_request()
        super().on_response_complete()

    def pause_writing(self) -> None:
        super().pause_writing()
        self._unread = self.loop.call_later(READ_S, self.give_up)

    def resume_writing(self) -> None:
        if self._unread is not None:
            self._unread.cancel()
        super().resume_writing()

    def give_up(self) -> None:
        """End the connection at once: it counts as one until it is gone."""
        self.connections.discard(self)
        self._cancel()
        self.transport.abort()

    def _crowds(self) -> list[tuple[list[BoundedProtocol], int]]:
        """The connections that this one shares a bound with, and the bound."""
        open_now = [cast("BoundedProtocol", each) for each in self.connections]
        own = [each for each in open_now if each.address == self.address]
        if is_loopback(self.address):
            return [(own, LOCAL)]
        return [(own, AN_ADDRESS), ([each for each in open_now if not is_loopback(each.address)], REMOTE)]

    def _expect_request(self) -> None:
        self.since_s = self.loop.time()
        if self._due is not None:
            self._due.cancel()
        self._due = self.loop.call_later(REQUEST_S, self.give_up)

    def _cancel(self) -> None:
        for timer in (self._due, self._unread):
            if timer is not None:
                timer.cancel()
