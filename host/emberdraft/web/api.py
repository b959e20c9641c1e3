"""The reading side of the JSON: the state now, the cooks, the strip of a cook, its export, health."""

from __future__ import annotations

import math
import time
from collections.abc import Awaitable, Callable, Iterable, Iterator

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response, StreamingResponse

from emberdraft.daemon.alarm_texts import kept_words
from emberdraft.mark_words import label, told, word
from emberdraft.review import chunks_of, figures_of
from emberdraft.review.morning import morning_of, morning_words
from emberdraft.review.parquet import has_parquet
from emberdraft.review.safety import DEFER, safety_of, safety_words
from emberdraft.review.why import why_of, why_words
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.ports import Columns, CookService, Row

MOST_POINTS = 20_000
USUAL_POINTS = 1200
PIECE = 64 * 1024

PARTS = ("pieces", "phases", "events")


def state_now(service: CookService) -> Row:
    """The service's state, with the host's offset from UTC: words and axis then show the same clock."""
    state = dict(service.now())
    state["utc_offset_s"] = utc_offset_s(state["now_s"])
    return state


def utc_offset_s(at_s: float) -> int:
    """The host's offset from UTC at a moment, daylight saving included."""
    return time.localtime(at_s).tm_gmtoff


async def now(request: Request) -> Response:
    """GET /api/now"""
    return json_response(await run_in_threadpool(state_now, request.app.state.service))


async def cooks(request: Request) -> Response:
    """GET /api/cooks"""
    return json_response(await run_in_threadpool(cook_list, request))


def cook_list(request: Request) -> Row:
    """All cooks, newest first."""
    rows = sorted(request.app.state.store.cooks(), key=lambda row: -row["start_s"])
    cooks = [{**row, "utc_offset_s": utc_offset_s(row["start_s"])} for row in rows]
    return {"cooks": cooks, "now_s": request.app.state.service.now()["now_s"]}


async def cook(request: Request) -> Response:
    """GET /api/cooks/{id}"""
    return json_response(await run_in_threadpool(cook_whole, request))


def cook_whole(request: Request) -> Row:
    """What is kept of one cook but its readings, and what is worked out from them."""
    store, row = request.app.state.store, cook_of(request)
    return {
        "cook": row,
        "utc_offset_s": utc_offset_s(row["start_s"]),
        "now_s": request.app.state.service.now()["now_s"],
        **{name: getattr(store, name)(row["id"]) for name in PARTS},
        "marks": [_mark(mark) for mark in store.marks(row["id"])],
        "alarms": [alarm | kept_words(alarm) for alarm in store.alarms(row["id"])],
        "exports": ["csv", "json", *(["parquet"] if has_parquet() else [])],
    }


def _mark(mark: Row) -> Row:
    return {**mark, "word": word(mark["kind"]), "label": label(mark), "told": told(mark)}


def cook_of(request: Request) -> Row:
    """The cook named in the path, or a refusal."""
    asked = request.path_params["cook_id"]
    found: Row | None = request.app.state.store.cook(asked)
    if found is None:
        raise RefusalError(404, "There is no such cook", asked, "one of the ids in /api/cooks")
    return found


def number(request: Request, name: str, usual: float) -> float:
    """A number from the query, or a refusal that names it."""
    text = request.query_params.get(name)
    if text is None:
        return usual
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise RefusalError(400, f"{name}: not a number", text, "a plain number, such as 1200")
    return value


async def strip(request: Request) -> Response:
    """GET /api/cooks/{id}/strip?from=&to=&points="""
    return json_response(await run_in_threadpool(_strip, request))


def _strip(request: Request) -> Row:
    row = cook_of(request)
    start_s = number(request, "from", row["start_s"])
    end_s = number(request, "to", row["end_s"] or request.app.state.service.now()["now_s"])
    points = number(request, "points", USUAL_POINTS)
    if end_s <= start_s:
        raise RefusalError(400, "to: must be after from", end_s, f"above {start_s}")
    if not 2 <= points <= MOST_POINTS:
        raise RefusalError(400, "points: out of range", points, f"2 to {MOST_POINTS}")
    store, kept = request.app.state.store, request.app.state.kept
    question = (start_s, end_s, int(points))
    columns: Columns = kept.answer(row, question, lambda: store.strip(row["id"], *question))
    stops = _stops(store.alarms(row["id"]), end_s)
    return {"from": start_s, "to": end_s, "columns": _only(request, columns), "stops": stops}


def _only(request: Request, columns: Columns) -> Columns:
    """The traces that were asked for, or all."""
    asked = request.query_params.get("traces")
    if asked is None:
        return columns
    names = ["t", *asked.split(",")]
    unknown = [name for name in names if name not in columns]
    if unknown:
        raise RefusalError(400, "traces: no such trace", unknown[0], ", ".join(columns))
    return {name: columns[name] for name in names}


def _stops(alarms: list[Row], end_s: float) -> list[list[float]]:
    """When the board had stopped the blower for safety: from and to."""
    return [[row["at_s"], row["cleared_s"] or end_s] for row in alarms if row["kind"] in ("pause", "trip")]


async def figures(request: Request) -> Response:
    """GET /api/cooks/{id}/figures: the same numbers as `emberdraft show`"""

    def read() -> Row:
        row = cook_of(request)
        made: Row = request.app.state.kept.answer(
            row, "figures", lambda: figures_of(request.app.state.store, row["id"])
        )
        return made

    return json_response(await run_in_threadpool(read))


async def safety(request: Request) -> Response:
    """GET /api/cooks/{id}/safety: what the published tables say of each piece's curve"""

    def read() -> Row:
        row = cook_of(request)
        store, kept = request.app.state.store, request.app.state.kept
        pieces: list[Row] = kept.answer(row, "safety", lambda: safety_of(store, row))
        return {"pieces": [piece | {"lines": list(safety_words(piece))} for piece in pieces], "defer": DEFER}

    return json_response(await run_in_threadpool(read))


async def why(request: Request) -> Response:
    """GET /api/cooks/{id}/why: why the stone was not hotter"""

    def read() -> Row:
        row = cook_of(request)
        store, kept = request.app.state.store, request.app.state.kept
        found: Row | None = kept.answer(row, "why", lambda: why_of(store, row["id"]))
        return {"why": found, "lines": list(why_words(found)) if found else []}

    return json_response(await run_in_threadpool(read))


async def morning(request: Request) -> Response:
    """GET /api/cooks/{id}/morning: what happened otherwise than planned, who was late, what to do the next time"""

    def read() -> Row:
        row = cook_of(request)
        store, kept = request.app.state.store, request.app.state.kept
        found: Row = kept.answer(row, "morning", lambda: morning_of(store, row["id"]))
        return {"rows": found["late"], **morning_words(found)}

    return json_response(await run_in_threadpool(read))


def export(form: str) -> Callable[[Request], Awaitable[Response]]:
    """GET /api/cooks/{id}/export.csv, export.json and export.rest.json: streamed, however long the cook."""
    media_type = "text/csv; charset=utf-8" if form == "csv" else "application/json"
    ending = "rest.json" if form == "rest" else form

    async def send(request: Request) -> Response:
        row = await run_in_threadpool(cook_of, request)
        chunks = await run_in_threadpool(chunks_of, request.app.state.store, row["id"], form)
        headers = {"content-disposition": f'attachment; filename="cook-{row["id"]}.{ending}"'}
        return StreamingResponse(gathered(chunks), media_type=media_type, headers=headers)

    return send


def gathered(chunks: Iterable[str]) -> Iterator[str]:
    """The same text in pieces of some size: each piece costs a hop between threads."""
    pieces: list[str] = []
    length = 0
    for chunk in chunks:
        pieces.append(chunk)
        length += len(chunk)
        if length >= PIECE:
            yield "".join(pieces)
            pieces, length = [], 0
    yield "".join(pieces)


async def health(request: Request) -> Response:
    """GET /api/health"""
    return json_response(await run_in_threadpool(health_now, request))


def health_now(request: Request) -> Row:
    """What the service says of its health, with the state it stands in."""
    service = request.app.state.service
    return {"now": state_now(service), "health": service.health() if hasattr(service, "health") else None}
