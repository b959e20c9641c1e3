"""One listener for all open pages: drains the service's queue, and keeps what pages need next.

A demonstration at sixty times sends sixty readings a second; a page needs to see a change about
four times a second. So the hub wakes at that pace, thins the readings of the moment to those that
carry a peak, asks the service for the state once, and lets each stream send what it has not sent.
"""

from __future__ import annotations

import asyncio
import logging
import queue
import time
from collections import deque
from collections.abc import Callable, Iterable
from typing import Any

from starlette.concurrency import run_in_threadpool

from emberdraft.web.ports import Row

log = logging.getLogger(__name__)

PERIOD_S = 0.25
IDLE_S = 1.0
KEPT_ROWS = 1200

ROW_KEYS = ("at_s", "pit_c", "stone_c", "target_c", "duty", "opening", "lid_open", "why")


class Hub:
    """The state as last seen, with a version that rises at each refresh, and the newest rows."""

    def __init__(self, snapshot: Callable[[], Row], subscribe: Callable[[], queue.Queue[Row]]) -> None:
        self._snapshot, self._subscribe = snapshot, subscribe
        self._changed = asyncio.Condition()
        self._rows: deque[tuple[int, Row]] = deque(maxlen=KEPT_ROWS)
        self.state: Row = {}
        self.version = 0
        self.row_count = 0
        self.watchers = 0
        self.closing = False

    async def run(self) -> None:
        """Until cancelled: take in what came, and refresh the state when somebody watches."""
        source = await run_in_threadpool(self._subscribe)
        refreshed = 0.0
        while True:
            await asyncio.sleep(PERIOD_S)
            news = drain(source)
            self._keep(row for row in news if row.get("type") == "reading")
            due = bool(news) or time.monotonic() - refreshed >= IDLE_S
            if due and self.watchers:
                refreshed = time.monotonic()
                await self._try_refresh()

    async def _try_refresh(self) -> None:
        """One state that cannot be made must not end the stream: the pages see silence, and then the next one."""
        try:
            await self.refresh()
        except Exception:
            log.exception("the state could not be made")

    async def refresh(self) -> None:
        """Ask the service for the state, and wake the streams."""
        state = await run_in_threadpool(self._snapshot)
        async with self._changed:
            self.state = state
            self.version += 1
            self._changed.notify_all()

    async def close(self) -> None:
        """Let every stream end, so that the server can stop."""
        async with self._changed:
            self.closing = True
            self._changed.notify_all()

    async def newer(self, version: int) -> int:
        """Waits for a state newer than `version`; gives the version there is."""
        async with self._changed:
            await self._changed.wait_for(lambda: self.closing or self.version > version)
            return self.version

    def rows_since(self, count: int) -> list[Row]:
        """The rows kept after the first `count`."""
        return [row for index, row in self._rows if index >= count]

    def _keep(self, readings: Iterable[Row]) -> None:
        for row in thinned(list(readings)):
            self._rows.append((self.row_count, as_columns(row)))
            self.row_count += 1


def as_columns(reading: Row) -> Row:
    """A reading in the names of the strip's columns: each food probe by its own."""
    cores = {f"core{k + 1}_c": core for k, core in enumerate(reading.get("core_c") or ())}
    return {key: reading.get(key) for key in ROW_KEYS} | cores


def drain(source: queue.Queue[Row]) -> list[Row]:
    """All that waits in a queue, without waiting."""
    news: list[Row] = []
    while True:
        try:
            news.append(source.get_nowait())
        except queue.Empty:
            return news


def thinned(readings: list[Row]) -> list[Row]:
    """The newest reading, and the ones with the lowest and highest pit: no peak is lost on the way."""
    measured = [i for i, row in enumerate(readings) if row.get("pit_c") is not None]
    if not readings:
        return []
    by_pit = sorted(measured, key=lambda i: _pit(readings[i]))
    kept = {len(readings) - 1, *by_pit[:1], *by_pit[-1:]}
    return [readings[i] for i in sorted(kept)]


def _pit(row: Row) -> Any:
    return row["pit_c"]
