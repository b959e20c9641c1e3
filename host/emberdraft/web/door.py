"""The door of a page that other machines can reach: nobody comes in without a session.

A connection from this machine may be one that a program here forwards for somebody far away, and a plain forwarder
leaves no sign of itself. So it needs a session like any other, unless the person who started the host said that nothing
forwards to it. The programs of this user show a key that lies beside the record.
"""

from __future__ import annotations

import re
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
from emberdraft.web.guard import SAFE_METHODS
from emberdraft.web.home import at_home
from emberdraft.web.people import GUEST, SESSION_S, People, TooSoonError
from emberdraft.web.slow import place

T = TypeVar("T")

COOKIE = "emberdraft"
LOOKS = "This log-in may look and not touch"
SHEET = re.compile(r"/api/tastings/\d+/sheet/?")
THEIRS = re.compile(r"/api/(leave|tastings/\d+/(seat|answer))")
OPEN = ("/enter", "/api/enter", "/api/enter/link", "/api/pair", "/reached", "/api/notices/reached")


class PairBody(msgspec.Struct, forbid_unknown_fields=True):
    """The one-time code, and how the person wants to be called."""

    code: str
    name: str


class LinkBody(msgspec.Struct, forbid_unknown_fields=True):
    """What stands behind # in a link for one evening."""

    link: str


class EnterBody(msgspec.Struct, forbid_unknown_fields=True):
    """A person's name and password."""

    name: str
    password: str


class Gate:
    """ASGI middleware: lets through who has a session or this user's key; `home`: and whoever is on this machine."""

    def __init__(self, app: ASGIApp, people: People, home: bool = False) -> None:
        self.app, self.people, self.home = app, people, home

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or self._free(scope):
            await self.app(scope, receive, send)
        elif not await self._known(scope):
            await self._turned_away(scope)(scope, receive, send)
        elif not await run_in_threadpool(self.people.looks_only, token_of(scope)):
            await self.app(scope, receive, send)
        elif not for_lookers(scope["method"], scope["path"]):
            await error_response(403, LOOKS, None, "a password of your own")(scope, receive, send)
        else:
            await self.app({**scope, "looks": True}, receive, send)

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


def for_lookers(method: str, path: str) -> bool:
    """What somebody may ask who looks only: all that is read but what is under the codes of a tasting, and to taste."""
    if method in SAFE_METHODS:
        return not SHEET.fullmatch(path)
    return bool(THEIRS.fullmatch(path))


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


async def enter_link(request: Request) -> Response:
    """POST /api/enter/link: a browser takes the session that stands in a link for one evening."""
    body = await body_of(request, LinkBody)
    people, link = request.app.state.people, body.link[:60]
    left_s = await run_in_threadpool(people.left_s, link)
    if left_s <= 0.0 or not await run_in_threadpool(people.looks_only, link):
        raise RefusalError(403, "This link is over", None, "a new one: `emberdraft people link`")
    return _with_session(json_response({"left_s": round(left_s)}), link, left_s)


async def leave(request: Request) -> Response:
    """POST /api/leave"""
    people, token = request.app.state.people, token_of(request.scope)
    if (
        await run_in_threadpool(people.who, token) != GUEST
    ):  # a link is everybody's who has it: only this browser forgets it
        await run_in_threadpool(people.leave, token)
    answer = json_response({})
    answer.delete_cookie(COOKIE, httponly=True, samesite="strict")
    return answer


ROUTES = [
    Route("/enter", enter_page),
    Route("/api/pair", pair, methods=["POST"]),
    Route("/api/enter", enter, methods=["POST"]),
    Route("/api/enter/link", enter_link, methods=["POST"]),
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


def _with_session(answer: Response, token: str, lasts_s: float = SESSION_S) -> Response:
    answer.set_cookie(COOKIE, token, max_age=int(lasts_s), httponly=True, samesite="strict", path="/")
    return answer
