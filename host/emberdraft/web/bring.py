"""A cook out of a file, brought into the record through the page or by `emberdraft import` while the host runs."""

from __future__ import annotations

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.review.bringing import bring_text
from emberdraft.review.parquet import parquet_bytes
from emberdraft.web.acts import body_of
from emberdraft.web.api import cook_of
from emberdraft.web.errors import json_response

# A day at 1 Hz is 20 MB of csv and 25 MB of json.
LONGEST = 128 * 1024 * 1024


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
    body = await body_of(request, BringBody, LONGEST)
    store = request.app.state.store
    named = (body.file, body.cooker, body.name, body.simulated, body.rest)
    return json_response({"cook_id": await run_in_threadpool(bring_text, store, body.text, *named)})


async def parquet(request: Request) -> Response:
    """GET /api/cooks/{id}/export.parquet"""
    row = await run_in_threadpool(cook_of, request)
    data = await run_in_threadpool(parquet_bytes, request.app.state.store, row["id"])
    headers = {"content-disposition": f'attachment; filename="cook-{row["id"]}.parquet"'}
    return Response(data, media_type="application/vnd.apache.parquet", headers=headers)
