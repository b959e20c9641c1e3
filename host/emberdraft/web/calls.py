"""Calls on the page: before bed, the form for the ways out (this machine only), and a test that the phone confirms."""

from __future__ import annotations

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.daemon.notice_settings import Change
from emberdraft.web import pages
from emberdraft.web.acts import NoBody, body_of, service_of
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.home import at_home
from emberdraft.web.ports import Row


class ReachedBody(msgspec.Struct, forbid_unknown_fields=True):
    """The token behind # in the link of a test notice, and what the browser calls itself."""

    token: str
    device: str = ""


def seen(request: Request) -> Row:
    """What the page starts from: as `GET /api/calls`."""
    told: Row = request.app.state.service.before_bed()
    return told | {"admin": _admin(request)}


def _admin(request: Request) -> bool:
    """Where others may come in, this machine itself counts only if it was said that nothing on it forwards."""
    state = request.app.state
    return (state.people is None or state.home) and at_home(request.scope)


async def calls_page(request: Request) -> Response:
    """GET /calls"""
    return pages.page(request, "calls", "Before bed - Emberdraft", await run_in_threadpool(seen, request))


async def reached_page(request: Request) -> Response:
    """GET /reached: where the link of a test notice leads. The token behind # comes to the host by POST alone."""
    return pages.page(request, "reached", "Is this phone reached? - Emberdraft", {})


async def calls(request: Request) -> Response:
    """GET /api/calls"""
    return json_response(await run_in_threadpool(seen, request))


async def settings(request: Request) -> Response:
    """POST /api/notices/settings"""
    if not _admin(request):
        raise RefusalError(
            403,
            "Ways out are set at the computer that runs the host",
            None,
            "open its page there without --lan, or `emberdraft settings notify.webhook ADDRESS`",
        )
    change = await body_of(request, Change)
    return json_response({"text": await run_in_threadpool(service_of(request).notices.change, change)})


async def test(request: Request) -> Response:
    """POST /api/notices/test"""
    await body_of(request, NoBody)
    return json_response({"text": await run_in_threadpool(service_of(request).test_notice)})


async def reached(request: Request) -> Response:
    """POST /api/notices/reached"""
    body = await body_of(request, ReachedBody)
    text = await run_in_threadpool(request.app.state.service.notices.confirm, body.token, body.device)
    return json_response({"text": text})
