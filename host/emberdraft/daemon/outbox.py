"""Orders on their way out: what cannot be sent now waits until the board is heard again.

What somebody said at the cooker, or of an alarm, is not true for ever: it waits for five minutes and is given up.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from emberdraft.daemon.order import Order
from emberdraft.daemon.wanted import AT_COOKER_S
from emberdraft.errors import UserError

MOST_WAITING = 16


class LinkOut(Protocol):
    """Where orders go."""

    def send_order(self, order: Order) -> Any:
        """Send an order to the board; UserError when it cannot be sent now."""


class OrderLine:
    """Orders through an Ingest, for one cooker."""

    def __init__(self, ingest: Any, cooker: str) -> None:
        self._ingest = ingest
        self._cooker = cooker

    def send_order(self, order: Order) -> Any:
        """Send; the number of the order."""
        return self._ingest.send_order(self._cooker, order)


class Outbox:
    """`send` returns '' or why it could not be sent; `retry` sends what waited.

    `now_s` is the clock, unix s.
    """

    def __init__(self, link_out: LinkOut | None, now_s: Callable[[], float]) -> None:
        self.link_out = link_out
        self._now_s = now_s
        self._waiting: list[tuple[float, Order]] = []  # since when

    def send(self, order: Order, since_s: float | None = None) -> str:
        """Send an order. The mode is ordered again by the conductor; anything else waits here, from `since_s` on."""
        if self.link_out is None:
            return ""
        try:
            self.link_out.send_order(order)
        except UserError as error:
            if order.name != "mode":
                since_s = self._now_s() if since_s is None else since_s
                self._waiting = [*self._waiting, (since_s, order)][-MOST_WAITING:]
            return str(error)
        return ""

    def retry(self) -> None:
        """The board is heard: send what waited, in order."""
        if self._waiting:
            waiting, self._waiting = self._waiting, []
            for since_s, order in waiting:
                if self._holds(since_s, order):
                    self.send(order, since_s)

    def _holds(self, since_s: float, order: Order) -> bool:
        """Whether what was said then may still be said now."""
        said = order.name == "acknowledge" or "at_cooker" in order.args
        return not said or 0.0 <= self._now_s() - since_s <= AT_COOKER_S
