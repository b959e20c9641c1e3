"""Plans: those that can be opened, one as text, and what a person does with it: check, save, start, end the record."""

from __future__ import annotations

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.daemon.plan import Plan, example_names, example_text, parse_plan
from emberdraft.daemon.plan_check import looked_ahead
from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.errors import UserError
from emberdraft.review.again import Again, again_of
from emberdraft.web.acts import body_of, done
from emberdraft.web.api import utc_offset_s
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.ports import Row

LONGEST_PLAN_BODY = 256 * 1024
NO_SHELF = "This host was given no folder for plans; copy the text instead"


class CheckBody(msgspec.Struct, forbid_unknown_fields=True):
    """The text of a plan."""

    text: str


class SaveBody(msgspec.Struct, forbid_unknown_fields=True):
    """A plan's text and the name of its file; replace: write over the one that is there."""

    name: str
    text: str
    replace: bool = False


class StartBody(msgspec.Struct, forbid_unknown_fields=True):
    """The plan a cook begins with."""

    text: str


class EndBody(msgspec.Struct, forbid_unknown_fields=True):
    """anyway: also with a fire that has not been put out."""

    anyway: bool = False


# ---- reading


async def plans(request: Request) -> Response:
    """GET /api/plans"""
    return json_response(await run_in_threadpool(plan_list, request))


async def plan(request: Request) -> Response:
    """GET /api/plans/{name}"""
    return json_response(await run_in_threadpool(plan_opened, request, request.path_params["name"]))


def _taken(request: Request) -> list[str]:
    """The differences that a person takes, by their ids."""
    return [one for one in request.query_params.get("take", "").split(",") if one]


def plan_list(request: Request) -> Row:
    """Every plan that can be opened: examples, own files, those of earlier cooks, newest first."""
    state, shelf = request.app.state.service.now(), _shelf(request)
    examples = [_entry(name, name, "example") for name in example_names()]
    files = [_entry(name, name, "file") for name in (shelf.names() if shelf else ())]
    rows = sorted(request.app.state.store.cooks(), key=lambda row: -row["start_s"])
    cooks = [_of_cook(row) for row in rows if row["plan_id"] is not None]
    folder = str(shelf.folder) if shelf else None
    return {"plans": [*files, *examples, *cooks], "running": _running(state), "folder": folder}


def _entry(name: str, title: str, kind: str) -> Row:
    return {"id": name, "title": title, "kind": kind, "at_s": None, "utc_offset_s": None}


def _of_cook(row: Row) -> Row:
    offset_s = utc_offset_s(row["start_s"])
    return _entry(f"cook.{row['id']}", row["name"], "cook") | {"at_s": row["start_s"], "utc_offset_s": offset_s}


def _running(state: Row) -> Row | None:
    """The cook that is running, and whether its fire has been put out or was never lit."""
    cook = state["cook"]
    if cook is None:
        return None
    phase = state["phase"] and state["phase"]["name"]
    return {"id": cook["id"], "name": cook["name"], "phase": phase, "out": phase in (None, "", "bank")}


def plans_page(request: Request) -> Row:
    """The list, and the plan that is opened: the one asked for, else that of the running cook, else the first."""
    listed = plan_list(request)
    running = listed["running"]
    usual = f"cook.{running['id']}" if running else listed["plans"][0]["id"]
    known = {entry["id"] for entry in listed["plans"]}
    asked = request.query_params.get("open", usual if usual in known else listed["plans"][0]["id"])
    return {**listed, "opened": plan_opened(request, asked)}


def plan_opened(request: Request, name: str) -> Row:
    """One plan. 'cook.3' is what cook 3 began with, 'again.3' the same with what is taken of what was done.

    All others are files and examples.
    """
    kind, _, number = name.partition(".")
    if kind == "cook" and number.isascii() and number.isdigit():
        return _opened(name, "cook", *_text_of_cook(request, int(number)))
    if kind == "again" and number.isascii() and number.isdigit():
        return _again(request, name, int(number))
    if name in example_names():
        return _opened(name, "example", name, example_text(name))
    shelf = _shelf(request)
    if shelf is None or name not in shelf.names():
        raise RefusalError(404, "There is no such plan", name, "one of the ids in /api/plans")
    return _opened(name, "file", name, shelf.text(name))


def _opened(name: str, kind: str, title: str, text: str, differences: list[Row] | None = None) -> Row:
    return {"id": name, "title": title, "kind": kind, "text": text, "differences": differences or []}


def _again(request: Request, name: str, cook_id: int) -> Row:
    """The plan of a cook, with those differences of what was done that are taken."""
    store = request.app.state.store
    row = store.cook(cook_id)
    if row is None:
        raise RefusalError(404, "There is no such cook", cook_id, "one of the ids in /api/cooks")
    take = _taken(request)
    made: Again = request.app.state.kept.answer(row, ("again", *take), lambda: again_of(store, cook_id, take))
    return _opened(name, "again", made.name, made.text, [one._asdict() for one in made.differences])


def _text_of_cook(request: Request, cook_id: int) -> tuple[str, str]:
    store = request.app.state.store
    row = store.cook(cook_id)
    kept = store.plan(row["plan_id"]) if row is not None and row["plan_id"] is not None else None
    if kept is None:
        raise RefusalError(404, "There is no cook with a plan of that number", cook_id, "one of the ids in /api/plans")
    return row["name"], kept["text"]


# ---- acting


async def check(request: Request) -> Response:
    """POST /api/plans/check: a plan with a fault is an answer, not an error."""
    body = await body_of(request, CheckBody, LONGEST_PLAN_BODY)
    return json_response(await run_in_threadpool(checked, body.text))


def checked(text: str) -> Row:
    """What is wrong with a plan in one line, or its name, phases and pieces."""
    try:
        made = parse_plan(text)
    except UserError as error:
        return {"fault": str(error), "name": None, "phases": [], "pieces": [], "foods": [], "fuel": []}
    said = {"fault": None, "name": made.name, "phases": made.phases, "pieces": _pieces(made)}
    return said | looked_ahead(made)


def _pieces(made: Plan) -> list[str]:
    return [f"{piece.name} ({piece.letter})" for piece in made.pieces]


async def save(request: Request) -> Response:
    """POST /api/plans/save: a plan that is not finished may be kept as well."""
    body = await body_of(request, SaveBody, LONGEST_PLAN_BODY)
    shelf = _shelf(request)
    if shelf is None:
        raise RefusalError(409, NO_SHELF)
    await run_in_threadpool(shelf.save, body.name, body.text, body.replace)
    return json_response({"id": body.name, **await run_in_threadpool(checked, body.text)})


async def start(request: Request) -> Response:
    """POST /api/plans/start: begins the record and its prompts; raising heat has its own prompt."""
    body = await body_of(request, StartBody, LONGEST_PLAN_BODY)
    cook_id = await run_in_threadpool(request.app.state.service.start_cook, body.text)
    return await done(request, {"cook_id": cook_id})


async def end(request: Request) -> Response:
    """POST /api/plans/end: the record ends; the board goes on with its last order."""
    body = await body_of(request, EndBody)
    await run_in_threadpool(_end, request, body.anyway)
    return await done(request, {})


def _end(request: Request, anyway: bool) -> None:
    service = request.app.state.service
    running = _running(service.now())
    if running and not running["out"] and not anyway:
        raise RefusalError(409, "The fire has not been put out", running["phase"], "put the fire out first")
    service.end_cook()


def _shelf(request: Request) -> PlanShelf | None:
    shelf: PlanShelf | None = request.app.state.shelf
    return shelf
