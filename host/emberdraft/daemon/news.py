"""Small news for whoever listens: a bounded queue each; one that is never read loses news and stops nobody."""

from __future__ import annotations

import contextlib
import queue
from typing import Any

MOST_WAITING = 2000


class News:
    """`tell` puts {'type': 'reading' | 'state' | 'mark' | 'alarm', ...} into every queue. Not thread-safe."""

    def __init__(self) -> None:
        self._listeners: list[queue.Queue[dict[str, Any]]] = []

    def subscribe(self) -> queue.Queue[dict[str, Any]]:
        """A queue of its own."""
        fresh: queue.Queue[dict[str, Any]] = queue.Queue(MOST_WAITING)
        self._listeners.append(fresh)
        return fresh

    def unsubscribe(self, listener: queue.Queue[dict[str, Any]]) -> None:
        """Nobody reads this queue any more."""
        with contextlib.suppress(ValueError):
            self._listeners.remove(listener)

    def tell(self, **news: Any) -> None:
        """Tell everybody."""
        for listener in self._listeners:
            with contextlib.suppress(queue.Full):
                listener.put_nowait(news)
