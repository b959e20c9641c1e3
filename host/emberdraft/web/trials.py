"""Trials on the page: the list, one worked out, its deeds, its report; a tasting as tasters see it; the dry brine."""

from __future__ import annotations

from typing import Any

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft import quantities
from emberdraft.errors import UserError
from emberdraft.food.brine import TEASPOON_G
from emberdraft.food.brine_plan import plan_of
from emberdraft.trials import deeds, deeds_tasting, panel, report
from emberdraft.trials.answer import answer_of, whole
from emberdraft.trials.curves import curves_of
from emberdraft.trials.words import tasting_words
from emberdraft.web.acts import body_of
from emberdraft.web.api import utc_offset_s
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.ports import Row

NO_PLACE = 0
LONGEST_DEED = 2_200_000  # a photo in base64, and the words with it
BRINE = {
    **{"mass": "450 g", "thickness": "38 mm", "dose": "1 %", "hours": "24", "fridge": "4 C", "salt": ""},
    **{"least": "", "most": "", "slice": "5 mm"},
}


class DeedBody(msgspec.Struct, forbid_unknown_fields=True):
    """A deed by name, with its arguments (trials/deeds.py)."""

    deed: str
    args: dict[str, Any]


class SeatBody(msgspec.Struct, forbid_unknown_fields=True):
    """A phone at a tasting, by a word of its own making; the place it had before; whether it leaves."""

    phone: str
    had: int | None = None
    leave: bool = False


def trial_list(request: Request) -> Row:
    """Every trial, newest first, and what a new one may be decided by."""
    return {"trials": request.app.state.store.trials.all(), "mains": list(deeds.MAINS), **_clock(request)}


def trial_whole(request: Request) -> Row:
    """One trial worked out."""
    trial_id = request.path_params["trial_id"]
    if request.app.state.store.trials.whole(trial_id) is None:
        raise RefusalError(404, "There is no such trial", trial_id, "one of the ids in /api/trials")
    return answer_of(request.app.state.store, trial_id) | _clock(request)


def tasting_seen(request: Request, body: SeatBody | None = None) -> Row:
    """A tasting as a taster may see it, or the phone of one; once it is closed, what came of it."""
    store, tasting_id = request.app.state.store, request.path_params["tasting_id"]
    row = store.trials.tasting(tasting_id)
    if row is None:
        raise RefusalError(404, "There is no such tasting", tasting_id, "one of a trial's, see /api/trials")
    names = {t["id"]: t["name"] for t in whole(store, row["trial_id"])["treatments"]}
    results = [{**one, "words": tasting_words(one)} for one in panel.results([row], names)]
    return {**panel.seen_by_taster(row, _place(request, row, body)), "results": results}


def _place(request: Request, row: Row, body: SeatBody | None) -> int | None:
    if body is None:
        return None
    seats = request.app.state.seats
    if body.leave:
        seats.leave(row, body.phone[:60])
        return NO_PLACE
    return seats.take(row, body.phone[:60], body.had) or NO_PLACE


def sheet_of(request: Request) -> Row:
    """What is under each code: for the one who serves."""
    store, tasting_id = request.app.state.store, request.path_params["tasting_id"]
    row = deeds_tasting.tasting_of(store, tasting_id)
    names = {t["id"]: t["name"] for t in whole(store, row["trial_id"])["treatments"]}
    return {"tasting": tasting_id, "sheet": panel.sheet(row, names)}


def brine_asked(request: Request) -> Row:
    """The dry brine of the query; `fault` says in a line what of it cannot be."""
    asked = {name: request.query_params.get(name, usual) for name, usual in BRINE.items()}
    try:
        return {"asked": asked, "plan": _brine(asked), "fault": None, "salts": list(TEASPOON_G)}
    except UserError as error:
        return {"asked": asked, "plan": None, "fault": str(error), "salts": list(TEASPOON_G)}


def _brine(asked: dict[str, str]) -> Row:
    centre = None
    if asked["least"] or asked["most"]:
        centre = (quantities.share(asked["least"]), quantities.share(asked["most"]))
    try:
        hours = float(asked["hours"])
    except ValueError:
        raise UserError(f"hours {asked['hours']!r}: a plain number would be right, such as 24") from None
    return plan_of(
        quantities.mass_kg(asked["mass"]), quantities.length_m(asked["thickness"]), quantities.share(asked["dose"]),
        hours, asked["salt"] or None, quantities.temperature_c(asked["fridge"]), centre,
        quantities.length_m(asked["slice"]),
    )  # fmt: skip


def _clock(request: Request) -> Row:
    now_s = request.app.state.service.now()["now_s"]
    return {"now_s": now_s, "utc_offset_s": utc_offset_s(now_s)}


async def trials(request: Request) -> Response:
    """GET /api/trials"""
    return json_response(await run_in_threadpool(trial_list, request))


async def trial(request: Request) -> Response:
    """GET /api/trials/{trial_id}"""
    return json_response(await run_in_threadpool(trial_whole, request))


async def tasting(request: Request) -> Response:
    """GET /api/tastings/{tasting_id}"""
    return json_response(await run_in_threadpool(tasting_seen, request))


async def seat(request: Request) -> Response:
    """POST /api/tastings/{tasting_id}/seat"""
    body = await body_of(request, SeatBody)
    return json_response(await run_in_threadpool(tasting_seen, request, body))


class TasterBody(msgspec.Struct, forbid_unknown_fields=True):
    """The code a taster chose, and who it was."""

    code: str
    taster: str = ""


async def answer(request: Request) -> Response:
    """POST /api/tastings/{tasting_id}/answer: the deed `answer`, for whoever sits at the table."""
    body = await body_of(request, TasterBody)
    args = {"tasting": request.path_params["tasting_id"], "code": body.code, "taster": body.taster}
    now_s = request.app.state.service.now()["now_s"]
    return json_response(await run_in_threadpool(deeds.do, request.app.state.store, "answer", args, now_s))


async def sheet(request: Request) -> Response:
    """GET /api/tastings/{tasting_id}/sheet"""
    return json_response(await run_in_threadpool(sheet_of, request))


async def brine(request: Request) -> Response:
    """GET /api/brine"""
    made = await run_in_threadpool(brine_asked, request)
    if made["fault"] is not None:
        raise RefusalError(400, made["fault"], None, "quantities with their unit, such as mass=450g")
    return json_response(made)


async def photo(request: Request) -> Response:
    """GET /api/looks/{look_id}/photo"""
    look_id = request.path_params["look_id"]
    found = await run_in_threadpool(request.app.state.store.trials.photo, look_id)
    if found is None:
        raise RefusalError(404, "There is no such photo", look_id, "a look with photo_bytes, see /api/trials")
    return Response(found[1], media_type=found[0])


async def printed(request: Request) -> Response:
    """GET /api/trials/{trial_id}/report.html: as a file, since it brings its own style along"""
    made = await run_in_threadpool(trial_whole, request)
    photos = await run_in_threadpool(report.photos_of, request.app.state.store, made)
    headers = {"content-disposition": f'attachment; filename="trial-{made["trial"]["id"]}.html"'}
    curves = await run_in_threadpool(curves_of, request.app.state.store, made)
    text = await run_in_threadpool(report.report_html, made, photos, curves)
    return Response(text, media_type="text/html; charset=utf-8", headers=headers)


async def do(request: Request) -> Response:
    """POST /api/trials/do"""
    body = await body_of(request, DeedBody, LONGEST_DEED)
    now_s = request.app.state.service.now()["now_s"]
    made = await run_in_threadpool(deeds.do, request.app.state.store, body.deed, body.args, now_s)
    return json_response(made)
