"""Server-sent events: what changed in the state, and the new rows of the strip."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Mapping

import msgspec
from starlette.requests import Request
from starlette.responses import StreamingResponse

from emberdraft.web.hub import Hub
from emberdraft.web.ports import Row

RETRY_MS = 2000
MOST_WAITING = 64


def event(name: str, data: object) -> bytes:
    """One event in the form of the HTML standard, section 9.2."""
    return b"event: %s\ndata: %s\n\n" % (name.encode(), msgspec.json.encode(data))


def changed(before: Row, after: Row) -> Row:
    """The top-level parts of the state that are new or different."""
    return {key: value for key, value in after.items() if key not in before or before[key] != value}


async def news(hub: Hub) -> AsyncIterator[tuple[str, object]]:
    """The whole state first, then changes, and new rows; ends when the hub closes."""
    sent: Row = {}
    rows = hub.row_count
    hub.watchers += 1
    try:
        await hub.refresh()
        version = 0
        while not hub.closing:
            version = await hub.newer(version)
            yield "now", changed(sent, hub.state)
            sent = hub.state
            fresh = hub.rows_since(rows)
            rows = hub.row_count
            if fresh:
                yield "rows", fresh
    finally:
        hub.watchers -= 1


async def events(hub: Hub) -> AsyncIterator[bytes]:
    """The news of one cooker as they go over the line."""
    yield b"retry: %d\n\n" % RETRY_MS
    async for name, data in news(hub):
        yield event(name, data)


async def of_all(hubs: Mapping[str, Hub]) -> AsyncIterator[bytes]:
    """The news of several cookers in one stream, each with the cooker's name."""
    waiting: asyncio.Queue[tuple[str, str, object]] = asyncio.Queue(MOST_WAITING)

    async def pump(cooker: str, hub: Hub) -> None:
        async for name, data in news(hub):
            await waiting.put((cooker, name, data))
        await waiting.put((cooker, "", None))

    pumps = [asyncio.create_task(pump(cooker, hub)) for cooker, hub in hubs.items()]
    yield b"retry: %d\n\n" % RETRY_MS
    try:
        going = len(pumps)
        while going:
            cooker, name, data = await waiting.get()
            if name:
                yield event(name, {"cooker": cooker, "data": data})
            else:
                going -= 1
    finally:
        for task in pumps:
            task.cancel()
        await asyncio.gather(*pumps, return_exceptions=True)


async def streams(request: Request) -> StreamingResponse:
    """GET /api/streams: `now` and `rows` of every cooker of this host, each as {cooker, data}."""
    return _streaming(of_all(request.app.state.hubs))


async def stream(request: Request) -> StreamingResponse:
    """GET /api/stream: the live state as events `now` and `rows`."""
    return _streaming(events(request.app.state.hub))


def _streaming(chunks: AsyncIterator[bytes]) -> StreamingResponse:
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    return StreamingResponse(chunks, media_type="text/event-stream", headers=headers)
