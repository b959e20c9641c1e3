"""The door of a page that other machines can reach: nobody comes in without a session.

A connection from this machine may be one that a program here forwards for somebody far away, and a plain forwarder
leaves no sign of itself. So it needs a session like any other, unless the person who started the host said that nothing
forwards to it. The programs of this user show a key that lies beside the record.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar
from urllib.parse import urlencode

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request, cookie_parser
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from emberdraft.errors import UserError
from emberdraft.web import pages
from emberdraft.web.acts import body_of
from emberdraft.web.errors import RefusalError, error_response, json_response
from emberdraft.web.home import at_home
from emberdraft.web.people import SESSION_S, People, TooSoonError
from emberdraft.web.slow import place

T = TypeVar("T")

COOKIE = "emberdraft"
OPEN = ("/enter", "/api/enter", "/api/pair", "/reached", "/api/notices/reached")


class PairBody(msgspec.Struct, forbid_unknown_fields=True):
    """The one-time code, and how the person wants to be called."""

    code: str
    name: str


class EnterBody(msgspec.Struct, forbid_unknown_fields=True):
    """A person's name and password."""

    name: str
    password: str


class Gate:
    """ASGI middleware: lets through who has a session or this user's key; `home`: and whoever is on this machine."""

    def __init__(self, app: ASGIApp, people: People, home: bool = False) -> None:
        self.app, self.people, self.home = app, people, home

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or self._free(scope) or await self._known(scope):
            await self.app(scope, receive, send)
            return
        await self._turned_away(scope)(scope, receive, send)

    def _free(self, scope: Scope) -> bool:
        path = scope["path"]
        if path in OPEN or path.startswith("/static/"):
            return True
        return (self.home and at_home(scope)) or self.people.is_own(Headers(scope=scope).get("authorization", ""))

    async def _known(self, scope: Scope) -> bool:
        token = token_of(scope)
        return bool(token) and await run_in_threadpool(self.people.who, token) is not None

    def _turned_away(self, scope: Scope) -> Response:
        if scope["method"] == "GET" and not scope["path"].startswith("/api/"):
            return RedirectResponse(f"/enter?{urlencode({'then': _place(scope)})}", 303)
        return error_response(401, "Nobody is logged in here", None, "log in at /enter")


def _place(scope: Scope) -> str:
    """What was asked for, so that who logs in gets there: a call's link opens the page at what it asks."""
    query = scope.get("query_string", b"").decode("latin-1")
    return str(scope["path"]) + (f"?{query}" if query else "")


def token_of(scope: Scope) -> str:
    """The session in the request's cookie, or ''."""
    return cookie_parser(Headers(scope=scope).get("cookie", "")).get(COOKIE, "")


async def enter_page(request: Request) -> Response:
    """GET /enter"""
    return pages.page(request, "enter", "Log in - Emberdraft", {})


async def pair(request: Request) -> Response:
    """POST /api/pair"""
    body = await body_of(request, PairBody)
    password, token = await _tried(request.app.state.people.pair, body.code, body.name, _where(request))
    return _with_session(json_response({"name": " ".join(body.name.split()), "password": password}), token)


async def enter(request: Request) -> Response:
    """POST /api/enter"""
    body = await body_of(request, EnterBody)
    token = await _tried(request.app.state.people.enter, body.name, body.password, _where(request))
    return _with_session(json_response({"name": body.name}), token)


async def leave(request: Request) -> Response:
    """POST /api/leave"""
    await run_in_threadpool(request.app.state.people.leave, token_of(request.scope))
    answer = json_response({})
    answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return answer


ROUTES = [
    Route("/enter", enter_page),
    Route("/api/pair", pair, methods=["POST"]),
    Route("/api/enter", enter, methods=["POST"]),
    Route("/api/leave", leave, methods=["POST"]),
]


async def _tried(act: Callable[..., T], *args: str) -> T:
    try:
        return await run_in_threadpool(act, *args)
    except TooSoonError as error:
        raise RefusalError(429, str(error)) from None
    except UserError as error:
        raise RefusalError(403, str(error)) from None


def _where(request: Request) -> str:
    return place(request.client.host) if request.client else "?"


def _with_session(answer: Response, token: str) -> Response:
    answer.set_cookie(COOKIE, token, max_age=int(SESSION_S), httponly=True, samesite="strict", path="/")
    return answer
