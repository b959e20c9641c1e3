"""Orders on their way out: what cannot be sent now waits until the board is heard again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

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
    """`send` returns '' or why it could not be sent; `retry` sends what waited, in the name of who wanted it."""

    def __init__(self, link_out: LinkOut | None) -> None:
        self.link_out = link_out
        self._waiting: list[tuple[str, dict[str, Any], str]] = []

    def send(self, name: str, args: dict[str, Any], author: str = "plan") -> str:
        """Send an order. The mode is ordered again by the conductor; anything else waits here."""
        if self.link_out is None:
            return ""
        if isinstance(self.link_out, OrderLine):
            self.link_out.author = author
        try:
            self.link_out.send_order(name, args)
        except UserError as error:
            if name != "mode":
                self._waiting = [*self._waiting, (name, args, author)][-MOST_WAITING:]
            return str(error)
        return ""

    def retry(self) -> None:
        """The board is heard: send what waited, in order."""
        if self._waiting:
            waiting, self._waiting = self._waiting, []
            for order in waiting:
                self.send(*order)
