"""Begin without a file: a form that writes the plan, when to light for its dinner, and the shelf of plans."""

from __future__ import annotations

from typing import Any

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.daemon.cook_form import CookForm, advice_of, form_of, told_of, values_of
from emberdraft.daemon.cook_form_write import own, written
from emberdraft.daemon.evening_of import habits_from, serve_of
from emberdraft.daemon.evening_said import ready, reckoned
from emberdraft.daemon.plan import Plan, parse_plan
from emberdraft.daemon.steps import stretches_of
from emberdraft.errors import UserError
from emberdraft.ready.fuel import fuel_for
from emberdraft.web import plans
from emberdraft.web.acts import body_of
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.ports import Row

WAIT_S = 1.0
STEP_S = 60.0
DRAWING = "Drawing evenings"
FIRST = "thick_chops"


class FormBody(msgspec.Struct, forbid_unknown_fields=True):
    """A plan's text, and the form that is to be written into it; without one the form is read from the text."""

    text: str
    form: CookForm | None = None


class WhenBody(msgspec.Struct, forbid_unknown_fields=True):
    """A plan with pieces and its hour of dinner."""

    text: str


def opened(request: Request) -> Row:
    """The plan that the form begins with: one of ours is made a person's own; what was done, else as it was begun."""
    request.app.state.workshop.ask("evenings", "evenings", DRAWING, ready)
    asked = request.query_params.get("open", FIRST)
    try:
        found = plans.plan_opened(request, asked)
    except UserError:  # nothing was done in that cook that could be done again
        found = plans.plan_opened(request, asked.replace("again.", "cook."))
    text = own(found["text"]) if found["kind"] == "example" else found["text"]
    listed = plans.plan_list(request)
    return {
        "opened": {"id": found["id"], "title": found["title"], "kind": found["kind"]},
        "answer": filled(text, None),
        "running": listed["running"],
        "folder": listed["folder"],
        "files": [entry["id"] for entry in listed["plans"] if entry["kind"] == "file"],
    }


async def form(request: Request) -> Response:
    """POST /api/plans/form: what is no plan is an answer, with the text as it was."""
    body = await body_of(request, FormBody, plans.LONGEST_PLAN_BODY)
    return json_response(await run_in_threadpool(filled, body.text, body.form))


def filled(text: str, form: CookForm | None) -> Row:
    """The text with the form in it and the form read from it again, or the fault in one line."""
    try:
        text = text if form is None else written(text, form)
        plan = parse_plan(text)
        read = form_of(plan)
        told, burns = told_of(plan), _burns(plan)
    except UserError as error:
        advice = [] if form is None else advice_of(form)
        return {
            "text": text,
            "fault": str(error),
            "form": None,
            "values": None,
            "advice": advice,
            "told": [],
            "burns": None,
        }
    found = {"text": text, "fault": None, "form": msgspec.to_builtins(read), "values": values_of(read)}
    return found | {"advice": advice_of(read), "told": told, "burns": burns}


def _burns(plan: Plan) -> Row | None:
    """Charcoal of a hold; of an evening with food the drawn evenings say it."""
    if plan.pieces or plan.slow is None:
        return None
    said = fuel_for(stretches_of(plan), ambient_c=float(plan.ambient_c), wind_mps=float(plan.wind_mps))
    whole = None if plan.until_said else {"low_kg": said.low_kg, "kg": said.kg, "high_kg": said.high_kg}
    return {"kg_per_h": said.hold_kgph, "whole": whole}


async def when(request: Request) -> Response:
    """POST /api/plans/when: reckoned by a process beside; asked again until it is there."""
    body = await body_of(request, WhenBody, plans.LONGEST_PLAN_BODY)
    return json_response(await run_in_threadpool(_when, request, body.text))


def _when(request: Request, text: str) -> Row:
    state, shop = request.app.state.service.now(), request.app.state.workshop
    cooker, now_s = str(state["cooker"]), float(state["now_s"])
    serve_s = serve_of(parse_plan(text), None, None, now_s)
    now_s -= now_s % STEP_S
    question = ("when", text, cooker, serve_s, now_s)
    habits = habits_from(request.app.state.store, cooker)
    job = shop.ask(question, ("when", cooker), DRAWING, reckoned, text, cooker, habits, serve_s, now_s)
    if not job.ready.wait(WAIT_S):
        return {"state": "working", "found": None}
    if job.trouble:
        raise UserError(job.trouble)
    return {"state": "done", "found": job.answer}


# ---- the shelf


def shelf(request: Request) -> Row:
    """Every plan that can be opened, with what is found by words: its name, note, animals and cuts."""
    listed = plans.plan_list(request)["plans"]
    return {"plans": [entry | _found_by(request, entry["id"]) for entry in listed]}


def _found_by(request: Request, name: str) -> Row:
    try:
        plan = parse_plan(plans.plan_opened(request, name)["text"])
    except (UserError, RefusalError):
        return {"name": name, "invented": False, "pit_c": None, "stone_c": None, "pieces": [], "words": ""}
    return {
        "name": plan.name,
        "invented": plan.invented,
        "pit_c": float(plan.slow.target_c if plan.slow else plan.light.target_c),
        "stone_c": float(plan.climb.stone_c) if plan.climb else None,
        "pieces": [piece.name for piece in plan.pieces],
        "words": _words(plan),
    }


def _words(plan: Plan) -> str:
    of_pieces: list[Any] = [word for piece in plan.pieces for word in (piece.name, piece.animal, piece.cut or "")]
    hands = "blower" if plan.blower else "vents by hand"
    return " ".join((plan.name, plan.note, hands, *plan.phases, *of_pieces)).lower()
