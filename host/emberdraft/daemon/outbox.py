"""Orders on their way out: what cannot be sent now waits until the board is heard again.

What somebody said at the cooker, or of an alarm, is not true for ever: it waits for five minutes and is given up.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from emberdraft.daemon.wanted import AT_COOKER_S
from emberdraft.errors import UserError

MOST_WAITING = 16


class LinkOut(Protocol):
    """Where orders go."""

    def send_order(self, name: str, args: Mapping[str, Any]) -> Any:
        """Send an order to the board; UserError when it cannot be sent now."""


class OrderLine:
    """Orders through an Ingest, for one cooker. `author` is kept with each order: 'plan' or 'person'."""

    def __init__(self, ingest: Any, cooker: str) -> None:
        self._ingest = ingest
        self._cooker = cooker
        self.author = "plan"

    def send_order(self, name: str, args: Mapping[str, Any]) -> Any:
        """Send; the number of the order."""
        return self._ingest.send_order(self._cooker, name, args, self.author)


class Outbox:
    """`send` returns '' or why it could not be sent; `retry` sends what waited, in the name of who wanted it.

    `now_s` is the clock, unix s.
    """

    def __init__(self, link_out: LinkOut | None, now_s: Callable[[], float]) -> None:
        self.link_out = link_out
        self._now_s = now_s
        self._waiting: list[tuple[float, str, dict[str, Any], str]] = []  # since when, the order, and whose

    def send(self, name: str, args: dict[str, Any], author: str = "plan", since_s: float | None = None) -> str:
        """Send an order. The mode is ordered again by the conductor; anything else waits here, from `since_s` on."""
        if self.link_out is None:
            return ""
        if isinstance(self.link_out, OrderLine):
            self.link_out.author = author
        try:
            self.link_out.send_order(name, args)
        except UserError as error:
            if name != "mode":
                since_s = self._now_s() if since_s is None else since_s
                self._waiting = [*self._waiting, (since_s, name, args, author)][-MOST_WAITING:]
            return str(error)
        return ""

    def retry(self) -> None:
        """The board is heard: send what waited, in order."""
        if self._waiting:
            waiting, self._waiting = self._waiting, []
            for since_s, name, args, author in waiting:
                if self._holds(since_s, name, args):
                    self.send(name, args, author, since_s)

    def _holds(self, since_s: float, name: str, args: dict[str, Any]) -> bool:
        """Whether what was said then may still be said now."""
        said = name == "acknowledge" or "at_cooker" in args
        return not said or 0.0 <= self._now_s() - since_s <= AT_COOKER_S
