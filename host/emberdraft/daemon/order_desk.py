"""Orders as they go out and their answers as they come back: numbered, kept in the store, sent again, given up."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from emberboard.link import messages
from emberdraft.clock import Clock
from emberdraft.daemon.dispatch import Dispatch
from emberdraft.daemon.order import Order

VALID_S = 15.0  # an order is void after this, or after VALID_REAL_S of real time if that is longer
VALID_REAL_S = 4.0


class OrderStore(Protocol):
    """What is needed of the store; see store.Store."""

    def next_order_n(self, cooker: str, above: int = 0) -> int: ...

    def add_order(
        self, cooker: str, n: int, boot: str, at_s: float, name: str, args: Mapping[str, Any], author: str
    ) -> None: ...

    def set_reply(self, cooker: str, n: int, code: str, text: str) -> None: ...


class OrderDesk:
    """`publish(cooker, what, payload, qos)` sends; `on_reply(cooker, reply)` is told each answer, or `no_reply`."""

    def __init__(
        self,
        store: OrderStore,
        clock: Clock,
        publish: Callable[[str, str, bytes, int], None],
        on_reply: Callable[[str, dict[str, Any]], None],
    ) -> None:
        self._store, self._clock = store, clock
        self._publish, self._on_reply = publish, on_reply
        self._dispatch = Dispatch(clock.speed)
        self._heard_n: dict[str, int] = {}  # the highest number a board has answered, whoever sent it

    def send(self, board: Any, order: Order, valid_s: float) -> int:
        """Send a well-formed order to a board (see Board) as it is now; its number. UserError if it is not heard."""
        now_s, cooker = self._clock.now_s(), board.cooker
        boot, uptime_ms = board.present(now_s)
        n = self._store.next_order_n(cooker, self._heard_n.get(cooker, 0))
        self._store.add_order(cooker, n, boot, board.record_s(now_s), order.name, order.args, order.author)
        valid_s = max(valid_s, VALID_REAL_S * self._clock.speed)
        payload = messages.order(n, boot, uptime_ms + int(valid_s * 1000.0), order.name, order.args)
        self._dispatch.add(cooker, n, payload, now_s, valid_s)
        self._publish(cooker, "order", payload, 1)
        return n

    def wait(self, cooker: str, n: int, timeout_s: float) -> dict[str, Any] | None:
        """Wait (real seconds) for the answer to order `n`; None if it has not come."""
        pending = self._dispatch.find(cooker, n)
        if pending is None or not pending.answered.wait(timeout_s):
            return None
        return pending.reply

    def hear(self, cooker: str, reply: dict[str, Any]) -> None:
        """A `reply` of the board: ours, or nobody's."""
        n = reply["n"]
        if n is not None and reply["code"] == "":
            self._heard_n[cooker] = max(n, self._heard_n.get(cooker, 0))
        if n is not None and self._dispatch.answered(cooker, n, reply):
            self._settle(cooker, n, reply)

    def chase(self) -> None:
        """Send again what has no answer yet; give up what is void."""
        now_s = self._clock.now_s()
        for pending in self._dispatch.due(now_s):
            self._publish(pending.cooker, "order", pending.payload, 1)
        for pending in self._dispatch.given_up(now_s):
            self._settle(pending.cooker, pending.n, pending.reply or {})

    def _settle(self, cooker: str, n: int, reply: dict[str, Any]) -> None:
        try:
            self._store.set_reply(cooker, n, reply["code"], reply["text"])
        finally:
            self._on_reply(cooker, reply)
