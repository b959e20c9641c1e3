"""The one error shape: {"error": {"what", "value", "right"}}, whatever went wrong and on whichever route."""

from __future__ import annotations

from typing import Any

import msgspec
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.errors import UserError
from emberdraft.said import Said, Text


class RefusalError(Exception):
    """A request that cannot be done: what is wrong, which value, what would be right."""

    def __init__(self, status: int, what: str, value: object = None, right: str = "") -> None:
        super().__init__(what)
        self.status, self.what, self.value, self.right = status, what, value, right


def json_response(content: object, status: int = 200) -> Response:
    """Compact JSON; a number that is not one becomes null."""
    return Response(msgspec.json.encode(content), status, media_type="application/json")


def error_response(status: int, what: Text, value: object = None, right: str = "") -> Response:
    """The error shape as an answer."""
    return json_response({"error": {"what": what, "value": value, "right": right}}, status)


async def _on_refusal(request: Request, exc: Exception) -> Response:
    assert isinstance(exc, RefusalError)
    return error_response(exc.status, exc.what, exc.value, exc.right)


async def _on_user_error(request: Request, exc: Exception) -> Response:
    return error_response(409, exc.args[0] if exc.args and isinstance(exc.args[0], Said) else str(exc), None, "")


async def _on_http(request: Request, exc: Exception) -> Response:
    assert isinstance(exc, HTTPException)
    right = {404: "see the routes in docs/reference/http.md", 405: (exc.headers or {}).get("Allow", "")}
    answer = error_response(exc.status_code, exc.detail, request.url.path, right.get(exc.status_code, ""))
    answer.headers.update(exc.headers or {})
    return answer


HANDLERS: dict[Any, Any] = {
    RefusalError: _on_refusal,
    UserError: _on_user_error,
    HTTPException: _on_http,
}
