"""Who may talk to the page, and what a browser may do with it: host names, origins, and headers.

A web site open in the same browser can send requests to this computer. Two checks stop it: the
Host header must be one of ours (a foreign name that resolves to us is refused), and whatever
changes something must come from our own page as JSON, which a foreign page cannot send.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from emberdraft.web.errors import error_response

log = logging.getLogger(__name__)

LOCAL_NAMES = ("127.0.0.1", "localhost", "[::1]")

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

SECURITY_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}

BROKEN = "Something broke in the host; the board goes on by itself."

SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}


def host_name(host: str) -> str:
    """The name in a Host header, without its port; an IPv6 address keeps its brackets."""
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0].lower()


class Guard:
    """ASGI middleware: refuses foreign hosts and foreign writes, adds the security headers."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str] = ()) -> None:
        self.app = app
        self.hosts = {name.lower() for name in (*LOCAL_NAMES, *hosts)}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        sender = Sender(scope, send)
        try:
            await (self._refusal(scope) or self.app)(scope, receive, sender)
        except Exception:
            log.exception("%s %s", scope["method"], scope["path"])
            if not sender.started:
                await error_response(500, BROKEN, None, "the host's log says more")(scope, receive, sender)

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if host_name(host) not in self.hosts:
            return error_response(421, "This host name is not one of the page's own", host, ", ".join(self.hosts))
        if scope["method"] in SAFE_METHODS:
            return _foreign_read(headers)
        return _foreign_write(headers, f"{scope.get('scheme', 'http')}://{host}")


def _foreign_read(headers: Headers) -> Response | None:
    """Another site may link to the page, but not open streams or fetch data behind a person's back."""
    site, mode = headers.get("sec-fetch-site", ""), headers.get("sec-fetch-mode", "navigate")
    if site in ("cross-site", "same-site") and mode != "navigate":
        return error_response(403, "Only this page itself may fetch this", site, "open the page's address")
    return None


def _foreign_write(headers: Headers, own_origin: str) -> Response | None:
    origin = headers.get("origin")
    if origin is not None and origin != own_origin:
        return error_response(403, "A change must come from this page itself", origin, own_origin)
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return error_response(403, "A change must come from this page itself", headers["sec-fetch-site"], own_origin)
    kind = headers.get("content-type", "").partition(";")[0].strip()
    if kind != "application/json":
        return error_response(415, "A change must be sent as JSON", kind, "content-type: application/json")
    return None


class Sender:
    """Sends on, with our headers added to the start of the answer."""

    def __init__(self, scope: Scope, send: Send) -> None:
        self._send = send
        self._cache = "public, max-age=31536000, immutable" if scope["path"].startswith("/static/") else "no-store"
        self.started = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(scope=message)
            headers.update(SECURITY_HEADERS)
            headers.setdefault("cache-control", self._cache)
        await self._send(message)
