"""Server-sent events: what changed in the state, and the new rows of the strip."""

from __future__ import annotations

from collections.abc import AsyncIterator

import msgspec
from starlette.requests import Request
from starlette.responses import StreamingResponse

from emberdraft.web.hub import Hub
from emberdraft.web.ports import Row

RETRY_MS = 2000


def event(name: str, data: object) -> bytes:
    """One event in the form of the HTML standard, section 9.2."""
    return b"event: %s\ndata: %s\n\n" % (name.encode(), msgspec.json.encode(data))


def changed(before: Row, after: Row) -> Row:
    """The top-level parts of the state that are new or different."""
    return {key: value for key, value in after.items() if key not in before or before[key] != value}


async def events(hub: Hub) -> AsyncIterator[bytes]:
    """The whole state first, then changes; ends when the hub closes."""
    yield b"retry: %d\n\n" % RETRY_MS
    sent: Row = {}
    rows = hub.row_count
    hub.watchers += 1
    try:
        await hub.refresh()
        version = 0
        while not hub.closing:
            version = await hub.newer(version)
            yield event("now", changed(sent, hub.state))
            sent = hub.state
            fresh = hub.rows_since(rows)
            rows = hub.row_count
            if fresh:
                yield event("rows", fresh)
    finally:
        hub.watchers -= 1


async def stream(request: Request) -> StreamingResponse:
    """GET /api/stream: the live state as events `now` and `rows`."""
    headers = {"cache-control": "no-store", "x-accel-buffering": "no"}
    return StreamingResponse(events(request.app.state.hub), media_type="text/event-stream", headers=headers)
