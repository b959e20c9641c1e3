"""The application: its routes, and what they share."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import AsyncIterator, Iterable

from starlette.applications import Starlette
from starlette.convertors import register_url_convertor
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from emberdraft.daemon.plan_shelf import PlanShelf
from emberdraft.web import acts, api, begin, bring, calls, door, metrics, pages, plans, sse, trials, tuning
from emberdraft.web.errors import HANDLERS
from emberdraft.web.guard import Guard
from emberdraft.web.help import Help
from emberdraft.web.hub import Hub
from emberdraft.web.ids import RowId
from emberdraft.web.kept import Kept
from emberdraft.web.people import People
from emberdraft.web.ports import CookService, CookStore
from emberdraft.web.seats import Seats
from emberdraft.web.workshop import Workshop

KEPT = 64

register_url_convertor("row", RowId())
ROUTES = [
    Route("/", pages.now),
    Route("/cookers", pages.cookers),
    Route("/kitchen", pages.kitchen),
    Route("/cookers/{cooker}", pages.now_of),
    Route("/plans", pages.plans_page),
    Route("/begin", pages.begin_page),
    Route("/shelf", pages.shelf_page),
    Route("/cooks", pages.cooks),
    Route("/cooks/{cook_id:row}", pages.cook),
    Route("/cooks/{cook_id:row}/tuning", pages.tuning_page),
    Route("/trials", pages.trials_page),
    Route("/trials/{trial_id:row}", pages.trial_page),
    Route("/tastings/{tasting_id:row}", pages.tasting_page),
    Route("/brine", pages.brine_page),
    Route("/health", pages.health),
    Route("/calls", calls.calls_page),
    Route("/reached", calls.reached_page),
    Route("/metrics", metrics.metrics),
    Route("/api/now", api.now),
    Route("/api/stream", sse.stream),
    Route("/api/streams", sse.streams),
    Route("/api/cooks", api.cooks),
    Route("/api/cooks/import", bring.bring, methods=["POST"]),
    Route("/api/cooks/{cook_id:row}", api.cook),
    Route("/api/cooks/{cook_id:row}/strip", api.strip),
    Route("/api/cooks/{cook_id:row}/figures", api.figures),
    Route("/api/cooks/{cook_id:row}/safety", api.safety),
    Route("/api/cooks/{cook_id:row}/why", api.why),
    Route("/api/cooks/{cook_id:row}/morning", api.morning),
    Route("/api/cooks/{cook_id:row}/export.csv", api.export("csv")),
    Route("/api/cooks/{cook_id:row}/export.json", api.export("json")),
    Route("/api/cooks/{cook_id:row}/export.rest.json", api.export("rest")),
    Route("/api/cooks/{cook_id:row}/export.parquet", bring.parquet),
    Route("/api/cooks/{cook_id:row}/tuning", tuning.proposal),
    Route("/api/cooks/{cook_id:row}/replay", tuning.trial),
    Route("/api/cooks/{cook_id:row}/gains", tuning.send, methods=["POST"]),
    Route("/api/cooks/{cook_id:row}/gains/back", tuning.back, methods=["POST"]),
    Route("/api/plans", plans.plans),
    Route("/api/plans/check", plans.check, methods=["POST"]),
    Route("/api/plans/form", begin.form, methods=["POST"]),
    Route("/api/plans/when", begin.when, methods=["POST"]),
    Route("/api/plans/save", plans.save, methods=["POST"]),
    Route("/api/plans/start", plans.start, methods=["POST"]),
    Route("/api/plans/end", plans.end, methods=["POST"]),
    Route("/api/plans/{name}", plans.plan),
    Route("/api/trials", trials.trials),
    Route("/api/trials/do", trials.do, methods=["POST"]),
    Route("/api/trials/{trial_id:row}", trials.trial),
    Route("/api/trials/{trial_id:row}/report.html", trials.printed),
    Route("/api/tastings/{tasting_id:row}", trials.tasting),
    Route("/api/tastings/{tasting_id:row}/seat", trials.seat, methods=["POST"]),
    Route("/api/tastings/{tasting_id:row}/answer", trials.answer, methods=["POST"]),
    Route("/api/tastings/{tasting_id:row}/sheet", trials.sheet),
    Route("/api/looks/{look_id:row}/photo", trials.photo),
    Route("/api/brine", trials.brine),
    Route("/api/health", api.health),
    Route("/api/mark", acts.mark, methods=["POST"]),
    Route("/api/undo", acts.undo, methods=["POST"]),
    Route("/api/answer", acts.answer, methods=["POST"]),
    Route("/api/command", acts.command, methods=["POST"]),
    Route("/api/foresee", acts.foresee, methods=["POST"]),
    Route("/api/calls", calls.calls),
    Route("/api/notices/settings", calls.settings, methods=["POST"]),
    Route("/api/notices/test", calls.test, methods=["POST"]),
    Route("/api/notices/reached", calls.reached, methods=["POST"]),
]


def create_app(
    service: CookService,
    store: CookStore,
    *,
    hosts: Iterable[str] = (),
    unit: str = "c",
    shelf: PlanShelf | None = None,
    people: People | None = None,
    home: bool = False,
) -> Starlette:
    """The page over one service and one store.

    `hosts`: further names under which the page may be asked for. `unit`: 'c' or 'f', what a browser shows until a
    person chooses there. `shelf`: where the person's own plans are kept; without one none can be saved. `people`: who
    may come from other machines; without it the page is for this machine only. `home`: with people, this machine itself
    still needs no log-in.
    """
    doors = [] if people is None else door.ROUTES
    gates = [] if people is None else [Middleware(door.Gate, people=people, home=home)]
    app = Starlette(
        routes=[
            *(*ROUTES, *doors, Mount("/help", Help(), name="help")),
            Mount(pages.static_root(), StaticFiles(directory=pages.STATIC), name="static"),
        ],
        middleware=[Middleware(Guard, hosts=tuple(hosts)), *gates, Middleware(GZipMiddleware, minimum_size=1000)],
        exception_handlers=HANDLERS,
        lifespan=_lifespan,
    )
    app.state.service, app.state.store, app.state.shelf = service, store, shelf
    app.state.kept, app.state.unit = Kept(KEPT), unit.upper()
    app.state.people = people
    app.state.seats = Seats()
    app.state.home = home
    app.state.workshop, app.state.looked_at = Workshop(), {}
    app.state.hub = Hub(lambda: api.state_now(service), service.subscribe)
    # With several cookers `web.yard` puts them all here, and this app's own name.
    app.state.yard, app.state.own = [service], ""
    app.state.hubs = {str(service.now()["cooker"]): app.state.hub}
    return app


@contextlib.asynccontextmanager
async def _lifespan(app: Starlette) -> AsyncIterator[None]:
    listening = asyncio.create_task(app.state.hub.run())
    yield
    app.state.workshop.close()
    listening.cancel()
    with contextlib.suppress(asyncio.CancelledError):
        await listening
