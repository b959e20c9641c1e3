"""What a person can do from the page: note a mark, take it back, answer a prompt, ask for a change."""

from __future__ import annotations

import asyncio
from typing import Any, TypeVar

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.nesting import DEEPEST, too_deep
from emberdraft.web.errors import RefusalError, json_response

T = TypeVar("T", bound=msgspec.Struct)


class MarkBody(msgspec.Struct, forbid_unknown_fields=True):
    """A mark: its kind, and what belongs to it (a fraction open, degrees, a word)."""

    kind: str
    value: float | None = None
    text: str = ""
    minutes_ago: float = 0.0


class UndoBody(msgspec.Struct, forbid_unknown_fields=True):
    """Which mark to take back."""

    mark_id: int
    at_cooker: bool = False


class AnswerBody(msgspec.Struct, forbid_unknown_fields=True):
    """The prompt that was done; at_cooker: the person stands at the cooker."""

    prompt_id: str | int
    at_cooker: bool = False


class NoBody(msgspec.Struct, forbid_unknown_fields=True):
    """Nothing: the act needs no more than its address."""


class CommandBody(msgspec.Struct, forbid_unknown_fields=True):
    """A change by name, with its arguments."""

    name: str
    args: dict[str, Any] = {}


LONGEST_BODY = 16 * 1024
LONGEST_TEXT = 500
PATIENCE_S, SLOWEST_BPS = 10.0, 250_000.0  # a phone at the edge of the yard still sends more a second
LONGEST_AGO_MIN = 24.0 * 60.0


async def body_of(request: Request, shape: type[T], longest: int = LONGEST_BODY) -> T:
    """The JSON of a request in its shape, or a refusal that names the field."""
    raw = await _short_body(request, longest)
    try:
        body = msgspec.json.decode(raw, type=shape)
    except RecursionError:
        raise _too_deep() from None
    except msgspec.DecodeError as exc:
        shown = raw[:200].decode("utf-8", "replace")
        raise RefusalError(400, str(exc), shown, f"a JSON object with {', '.join(shape.__struct_fields__)}") from exc
    if any(too_deep(value) for value in msgspec.structs.astuple(body)):
        raise _too_deep()
    return body


def _too_deep() -> RefusalError:
    return RefusalError(400, "The JSON is nested too deep", None, f"at most {DEEPEST} lists and objects in each other")


async def _short_body(request: Request, longest: int) -> bytearray:
    """The body, neither too long nor for ever on its way: who sends slowly holds a connection and what it waits for."""
    raw = bytearray()
    patience_s = PATIENCE_S + longest / SLOWEST_BPS
    try:
        async with asyncio.timeout(patience_s):
            async for chunk in request.stream():
                raw += chunk
                if len(raw) > longest:
                    raise RefusalError(413, "The request is too long", len(raw), f"at most {longest} bytes")
    except TimeoutError:
        raise RefusalError(408, "The request took too long to arrive", None, f"within {patience_s:.0f} s") from None
    return raw


def service_of(request: Request) -> Any:
    """The service of this app; a question meant for another cooker is refused, never answered by this one."""
    service = request.app.state.service
    asked, own = request.query_params.get("cooker"), service.now()["cooker"]
    if asked not in (None, own):
        raise RefusalError(404, "There is no such cooker", asked, own)
    return service


async def mark(request: Request) -> Response:
    """POST /api/mark"""
    body = await body_of(request, MarkBody)
    if len(body.text) > LONGEST_TEXT:
        raise RefusalError(400, "text: too long", len(body.text), f"at most {LONGEST_TEXT} characters")
    if not 0.0 <= body.minutes_ago <= LONGEST_AGO_MIN:
        raise RefusalError(400, "minutes_ago: out of range", body.minutes_ago, f"0 to {LONGEST_AGO_MIN:.0f}")
    service = service_of(request)
    made = await run_in_threadpool(service.mark, body.kind, body.value, body.text, body.minutes_ago)
    return await done(request, {"mark_id": made})


async def undo(request: Request) -> Response:
    """POST /api/undo"""
    body = await body_of(request, UndoBody)
    await run_in_threadpool(service_of(request).undo, body.mark_id, body.at_cooker)
    return await done(request, {})


async def answer(request: Request) -> Response:
    """POST /api/answer"""
    body = await body_of(request, AnswerBody)
    await run_in_threadpool(service_of(request).answer, body.prompt_id, body.at_cooker)
    return await done(request, {})


async def command(request: Request) -> Response:
    """POST /api/command"""
    body = await body_of(request, CommandBody)
    service = service_of(request)
    try:
        await run_in_threadpool(lambda: service.command(body.name, **body.args))
    except TypeError as exc:
        raise RefusalError(400, f"{body.name}: {exc}", body.args, "see docs/reference/http.md") from exc
    return await done(request, {})


async def foresee(request: Request) -> Response:
    """POST /api/foresee: what a command would change in the evening."""
    body = await body_of(request, CommandBody)
    service = service_of(request)
    try:
        found = await run_in_threadpool(lambda: service.foresee(body.name, **body.args))
    except TypeError as exc:
        raise RefusalError(400, f"{body.name}: {exc}", body.args, "see docs/reference/http.md") from exc
    return json_response(found)


async def done(request: Request, more: dict[str, Any]) -> Response:
    """The answer to an act carries what the status line shows, and wakes the open pages at once."""
    hub = request.app.state.hub
    await hub.refresh()
    return json_response({"last": hub.state.get("last"), **more})
