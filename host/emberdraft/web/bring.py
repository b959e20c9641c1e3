"""A cook out of a file, brought into the record through the page or by `emberdraft import` while the host runs."""

from __future__ import annotations

import threading

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.review.bringing import bring_text
from emberdraft.review.parquet import parquet_bytes
from emberdraft.web.acts import body_of
from emberdraft.web.api import cook_of
from emberdraft.web.errors import RefusalError, json_response

# A day at 1 Hz is 12 MB of csv and 18 MB of json. One import at a time, so that what it takes is bounded: the unit in
# deploy/ allows the host 512 MB in all, of which it has 220 at rest (measured), and a text with one letter beyond
# Latin takes four bytes for each of its letters.
LONGEST = 32 * 1024 * 1024
_ONE_AT_A_TIME = threading.Lock()


class BringBody(msgspec.Struct, forbid_unknown_fields=True):
    """The file's name (it tells the format), its text, a csv's companion; names in place of those in it."""

    file: str
    text: str
    cooker: str | None = None
    name: str | None = None
    simulated: bool = False
    rest: str | None = None


async def bring(request: Request) -> Response:
    """POST /api/cooks/import"""
    if not _ONE_AT_A_TIME.acquire(blocking=False):
        raise RefusalError(409, "Another import is under way", None, "again when it is done")
    try:
        body = await body_of(request, BringBody, LONGEST)
        named = (body.file, body.cooker, body.name, body.simulated, body.rest)
        cook_id = await run_in_threadpool(bring_text, request.app.state.store, body.text, *named)
    finally:
        _ONE_AT_A_TIME.release()
    return json_response({"cook_id": cook_id})


async def parquet(request: Request) -> Response:
    """GET /api/cooks/{id}/export.parquet"""
    row = await run_in_threadpool(cook_of, request)
    data = await run_in_threadpool(parquet_bytes, request.app.state.store, row["id"])
    headers = {"content-disposition": f'attachment; filename="cook-{row["id"]}.parquet"'}
    return Response(data, media_type="application/vnd.apache.parquet", headers=headers)
