"""The pages: one shell of plain HTML, one part a page, filled in by simple substitution."""

from __future__ import annotations

import hashlib
import html
import re
from functools import cache
from pathlib import Path
from string import Template

import msgspec
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from emberdraft.web import api, begin, plans, trials, tuning
from emberdraft.web.errors import RefusalError

HERE = Path(__file__).parent
STATIC = HERE / "static"
TEMPLATES = HERE / "templates"

NAV = (
    *(("now", "/", "Now"), ("plans", "/plans", "Plans"), ("cooks", "/cooks", "Cooks")),
    *(("trials", "/trials", "Trials"), ("health", "/health", "Health")),
)

# Pages that are come to from another one.
WITHIN = {
    "cook": "cooks",
    "tuning": "cooks",
    "trial": "trials",
    "tasting": "trials",
    "brine": "trials",
    "cookers": "now",
    "kitchen": "now",
    "begin": "plans",
    "shelf": "plans",
    "calls": "health",
    "reached": "health",
}

IMPORT = re.compile(r"""^\s*(?:import|export)\b[^"']*["'](\./[^"']+)["']""", re.MULTILINE)


@cache
def static_root() -> str:
    """The address of the static files, with their digest in it, so that a browser may keep them for ever."""
    digest = hashlib.sha256()
    for path in sorted(STATIC.rglob("*")):
        if path.is_file():
            digest.update(path.name.encode() + path.read_bytes())
    return f"/static/{digest.hexdigest()[:12]}"


@cache
def modules_of(name: str) -> tuple[str, ...]:
    """The script of a page and all it imports: fetched together, not one after the other."""
    found: list[str] = []
    waiting = [f"{name}.js"]
    while waiting:
        module = waiting.pop()
        if module not in found:
            found.append(module)
            waiting += [target[2:] for target in IMPORT.findall((STATIC / "js" / module).read_text(encoding="utf-8"))]
    return tuple(found)


@cache
def _template(name: str) -> Template:
    return Template((TEMPLATES / f"{name}.html").read_text(encoding="utf-8"))


def page(request: Request, name: str, title: str, first: object) -> HTMLResponse:
    """One whole page; `first` is the data it starts from, so that it needs no second request to show something."""
    root = static_root()
    preload = "".join(f'<link rel="modulepreload" href="{root}/js/{m}">' for m in modules_of(name))
    text = _template("base").substitute(
        title=html.escape(title),
        root=root,
        preload=preload,
        nav=_nav(WITHIN.get(name, name), request.app.state.own),
        cooker=html.escape(request.app.state.own),
        unit=request.app.state.unit,
        main=_template(name).substitute(root=root),
        script=f"{root}/js/{name}.js",
        name=name,
        looks=" looks" if request.scope.get("looks") else "",
        first=_script_json(first),
    )
    return HTMLResponse(text)


def _nav(current: str, cooker: str) -> str:
    """The pages; with several cookers the first is the one of all of them, and the others stay with this one."""
    of = f"?cooker={cooker}" if cooker else ""
    first = ("now", "/", "All") if cooker else NAV[0]
    named = (first, *((key, path + of, word) for key, path, word in NAV[1:]))
    links = ((path, word, ' aria-current="page"' if key == current else "") for key, path, word in named)
    return "".join(f'<a href="{path}"{here}>{word}</a>' for path, word, here in links)


def _script_json(data: object) -> str:
    """JSON that cannot end its script element."""
    return msgspec.json.encode(data).decode().replace("<", "\\u003c")


async def now(request: Request) -> Response:
    """GET /"""
    first = await run_in_threadpool(api.state_now, request.app.state.service)
    return page(request, "now", f"{first['cooker']} - Emberdraft", first)


async def now_of(request: Request) -> Response:
    """GET /cookers/{cooker}"""
    first = await run_in_threadpool(api.state_now, request.app.state.service)
    if request.path_params["cooker"] != first["cooker"]:
        raise RefusalError(404, "There is no such cooker", request.path_params["cooker"], first["cooker"])
    return page(request, "now", f"{first['cooker']} - Emberdraft", first)


async def cookers(request: Request) -> Response:
    """GET /cookers: all cookers of this host at one glance; at / when there are several."""
    states = [await run_in_threadpool(api.state_now, service) for service in request.app.state.yard]
    return page(request, "cookers", "Cookers - Emberdraft", {"cookers": states})


async def kitchen(request: Request) -> Response:
    """GET /kitchen: a tablet on the wall, to be read from 4 m."""
    states = [await run_in_threadpool(api.state_now, service) for service in request.app.state.yard]
    return page(request, "kitchen", "Kitchen - Emberdraft", {"cookers": states})


async def cooks(request: Request) -> Response:
    """GET /cooks"""
    return page(request, "cooks", "Cooks - Emberdraft", await run_in_threadpool(api.cook_list, request))


async def cook(request: Request) -> Response:
    """GET /cooks/{id}"""
    first = await run_in_threadpool(api.cook_whole, request)
    return page(request, "cook", f"{first['cook']['name']} - Emberdraft", first)


async def tuning_page(request: Request) -> Response:
    """GET /cooks/{id}/tuning"""
    first = await run_in_threadpool(tuning.view, request)
    return page(request, "tuning", f"Tuning from {first['cook']['name']} - Emberdraft", first)


async def plans_page(request: Request) -> Response:
    """GET /plans"""
    return page(request, "plans", "Plans - Emberdraft", await run_in_threadpool(plans.plans_page, request))


async def begin_page(request: Request) -> Response:
    """GET /begin"""
    return page(request, "begin", "Begin - Emberdraft", await run_in_threadpool(begin.opened, request))


async def shelf_page(request: Request) -> Response:
    """GET /shelf"""
    return page(request, "shelf", "Shelf - Emberdraft", await run_in_threadpool(begin.shelf, request))


async def health(request: Request) -> Response:
    """GET /health"""
    return page(request, "health", "Health - Emberdraft", await run_in_threadpool(api.health_now, request))


async def trials_page(request: Request) -> Response:
    """GET /trials"""
    return page(request, "trials", "Trials - Emberdraft", await run_in_threadpool(trials.trial_list, request))


async def trial_page(request: Request) -> Response:
    """GET /trials/{id}"""
    first = await run_in_threadpool(trials.trial_whole, request)
    return page(request, "trial", f"{first['trial']['name']} - Emberdraft", first)


async def tasting_page(request: Request) -> Response:
    """GET /tastings/{id}"""
    seen = await run_in_threadpool(trials.tasting_seen, request)
    # Whose plate it is the phone learns once it has a place: two would show the same codes for a moment.
    return page(request, "tasting", "Tasting - Emberdraft", seen | {"next": None})


async def brine_page(request: Request) -> Response:
    """GET /brine"""
    return page(request, "brine", "Dry brine - Emberdraft", await run_in_threadpool(trials.brine_asked, request))
