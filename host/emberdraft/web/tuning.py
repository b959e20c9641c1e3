"""The tuning of a cook's cooker: a model and gains from the cook, the cook tried with other ones, gains sent and taken
back. What takes long is done by the workshop; an answer that is not there yet says what is being done."""

from __future__ import annotations

import time
from collections.abc import Hashable
from typing import Any

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from emberdraft.errors import UserError
from emberdraft.tuning import desk
from emberdraft.tuning.propose import INSIST
from emberdraft.tuning.record import GAINS, read_cook
from emberdraft.tuning.relay_record import relay_tests
from emberdraft.tuning.rules import BOUNDS, RULES, Gains, refusal
from emberdraft.web import acts, api
from emberdraft.web.errors import RefusalError, json_response
from emberdraft.web.ports import Row
from emberdraft.web.workshop import Job

WAIT_S = 2.0
RUNNING_STEP_S = 600.0
LEARNING = "Learning a model of the cooker from this cook"
CHOOSING = "Choosing gains, and replaying the cook with them"
TRYING = "Replaying the cook"
DIGITS = 5


class GainsBody(msgspec.Struct, forbid_unknown_fields=True):
    """Gains to be sent; `insist` holds the person's own words when they are asked for."""

    kp: float
    ti_s: float
    td_s: float
    b: float
    insist: str = ""


class BackBody(msgspec.Struct, forbid_unknown_fields=True):
    """Nothing has to be said."""


def view(request: Request) -> Row:
    """What the page begins with: the cook, what is in force, the rules and bounds."""
    row, store = api.cook_of(request), request.app.state.store
    return {
        "cook": row,
        "relay": request.app.state.kept.answer(row, "relay", lambda: relay_tests(store, row["id"])),
        "utc_offset_s": api.utc_offset_s(row["start_s"]),
        "now_s": request.app.state.service.now()["now_s"],
        "rules": RULES,
        "bounds": BOUNDS,
        "insist": INSIST,
        "service_cooker": request.app.state.service.now()["cooker"],
        **in_force(request, row["cooker"]),
    }


def in_force(request: Request, cooker: str) -> Row:
    """The gains that the cooker's board reported, each since when, newest first; and those before the last change."""
    changes: list[Row] = []
    for row in reversed(request.app.state.store.tunings_at(cooker)):
        gains = {name: shortened(row["gains"].get(name)) for name in GAINS}
        if not changes or changes[-1]["gains"] != gains:
            changes.append({"at_s": row["at_s"], "gains": gains, "order_n": row["order_n"]})
    changes.reverse()
    before = next((c["gains"] for c in changes[1:] if None not in c["gains"].values()), None)
    return {"history": changes, "back": before}


def shortened(value: float | None) -> float | None:
    """A gain as it was ordered: boards reckon with 32 bits, which shows in the ninth digit."""
    return None if value is None else float(f"{value:.{DIGITS}g}")


async def proposal(request: Request) -> Response:
    """GET /api/cooks/{id}/tuning?rule=&slider="""
    return json_response(await run_in_threadpool(_proposal, request))


def _proposal(request: Request) -> Row:
    row = api.cook_of(request)
    rule = request.query_params.get("rule", RULES[0])
    if rule not in RULES:
        raise RefusalError(400, "rule: not known", rule, ", ".join(RULES))
    slider = None if request.query_params.get("slider") is None else api.number(request, "slider", 0.0)
    if slider is not None and not 0.0 <= slider <= 1.0:
        raise RefusalError(400, "slider: out of range", slider, "0 (steadier) to 1 (quicker)")
    return _reckoned(request, row, ("proposal", rule, slider), CHOOSING, desk.proposal, (rule, slider))


async def trial(request: Request) -> Response:
    """GET /api/cooks/{id}/replay?kp=&ti_s=&td_s=&b=&target_c=&vent_top="""
    return json_response(await run_in_threadpool(_trial, request))


def _trial(request: Request) -> Row:
    row, query = api.cook_of(request), request.query_params
    gains = Gains(**{name: api.number(request, name, 0.0) for name in GAINS}) if "kp" in query else None
    wrong = "" if gains is None else refusal(gains)
    if wrong:
        raise RefusalError(400, "gains: out of range", None, wrong)
    vent_top = api.number(request, "vent_top", 0.0) if "vent_top" in query else None
    if vent_top is not None and not 0.02 <= vent_top <= 1.0:
        raise RefusalError(400, "vent_top: out of range", vent_top, "0.02 to 1, the share that is open")
    targets = _targets(query.getlist("target_c"))
    question = ("trial", gains, tuple(targets.items()), vent_top)
    return _reckoned(request, row, question, TRYING, desk.trial, (gains, targets, vent_top))


def _targets(texts: list[str]) -> dict[float, float]:
    """'121:115' for each target that is changed: recorded, then wanted, degC."""
    targets = {}
    for text in texts:
        try:
            recorded, wanted = (float(part) for part in text.split(":"))
        except ValueError:
            raise RefusalError(400, "target_c: not two numbers", text, "recorded:wanted, such as 121:115") from None
        if not 40.0 <= wanted <= 300.0:
            raise RefusalError(400, "target_c: out of range", wanted, "40 to 300")
        targets[recorded] = wanted
    return targets


def _reckoned(request: Request, row: Row, question: tuple[Any, ...], doing: str, work: Any, args: Any) -> Row:
    """The answer of the workshop, when it is there within two seconds; else what it is doing."""
    shop, cook_id = request.app.state.workshop, row["id"]
    end: Hashable = row["end_s"] or int(request.app.state.service.now()["now_s"] // RUNNING_STEP_S)
    cook = request.app.state.kept.answer(row, "tuning cook", lambda: read_cook(request.app.state.store, cook_id))
    learnt = shop.ask(("model", cook_id, end), ("model", cook_id), LEARNING, desk.learn, cook)
    if not learnt.ready.wait(WAIT_S):
        return _working(learnt)
    if learnt.trouble:
        raise UserError(learnt.trouble)
    job = shop.ask((*question, cook_id, end), (question[0], cook_id), doing, work, cook, learnt.answer, *args)
    if not job.ready.wait(WAIT_S):
        return _working(job)
    if job.trouble:
        raise UserError(job.trouble)
    _remember(request, row["id"], job.answer)
    return {"state": "done", "found": job.answer}


def _working(job: Job) -> Row:
    return {"state": "working", "doing": job.doing, "for_s": round(time.monotonic() - job.asked_s, 1)}


def _remember(request: Request, cook_id: int, found: Row) -> None:
    """Which gains were looked at, and what stands against sending each."""
    for choice, keep in ((found.get("proposed"), found.get("keep", "")), (found.get("choice"), "")):
        if choice is not None:
            margins_ms = choice["margins"]["max_sensitivity"] or float("inf")
            against = _against(max(margins_ms, choice["board_ms"]), choice["needs_insisting"], keep)
            request.app.state.looked_at[(cook_id, tuple(choice["gains"].values()))] = against


def _against(worst_ms: float, hunts: bool, keep: str) -> str:
    if hunts:
        return f"Ms {worst_ms:.2f} is over 2, the loop would hunt"
    return f"keep what is in force, {keep}" if keep else ""


async def send(request: Request) -> Response:
    """POST /api/cooks/{id}/gains: only gains that were looked at; what speaks against them needs the person's words."""
    body = await acts.body_of(request, GainsBody)
    row = await run_in_threadpool(api.cook_of, request)
    gains = Gains(body.kp, body.ti_s, body.td_s, body.b).as_args()
    wrong = refusal(Gains(**gains))
    if wrong:
        raise RefusalError(400, "gains: out of range", None, wrong)
    against = request.app.state.looked_at.get((row["id"], tuple(gains.values())))
    if against is None:
        raise UserError("gains: these have not been replayed yet; look at what they do to this cook first")
    if against and body.insist != INSIST:
        raise UserError(f'gains: {against}; the words "{INSIST}" send them')
    return await _order(request, row, gains)


async def back(request: Request) -> Response:
    """POST /api/cooks/{id}/gains/back: what was in force before the last change, again."""
    await acts.body_of(request, BackBody)
    row = await run_in_threadpool(api.cook_of, request)
    gains = (await run_in_threadpool(in_force, request, row["cooker"]))["back"]
    if gains is None:
        raise UserError(f"gains: {row['cooker']} has reported no other gains yet; nothing to go back to")
    return await _order(request, row, gains)


async def _order(request: Request, row: Row, gains: Row) -> Response:
    service = request.app.state.service
    cooker = service.now()["cooker"]
    if row["cooker"] != cooker:
        raise UserError(f"gains: this cook was on {row['cooker']}, this page sends to {cooker}; nothing was sent")
    await run_in_threadpool(lambda: service.command("gains", **gains))
    return await acts.done(request, {"gains": gains})
