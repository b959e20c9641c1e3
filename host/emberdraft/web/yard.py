"""Several cookers on one host: each has an application of its own, and each request goes to the right one.

Which one: the cooker that the cook in the address was on; else the one named by `/cookers/NAME` or `?cooker=NAME`; else
the first. So an order can never reach another cooker than the one the person looked at. `/` is the page of them all.
"""

from __future__ import annotations

import asyncio
import contextlib
import re
from collections.abc import AsyncIterator, Mapping, Sequence
from typing import Any
from urllib.parse import parse_qs

from starlette.applications import Starlette
from starlette.routing import Mount
from starlette.types import ASGIApp, Receive, Scope, Send

from emberdraft.web.app import create_app
from emberdraft.web.errors import error_response
from emberdraft.web.guard import Guard
from emberdraft.web.ports import CookService, CookStore
from emberdraft.web.seats import Seats
from emberdraft.web.workshop import Workshop

OF_COOK = re.compile(r"^(?:/api)?/cooks/(\d{1,15})(?:/|$)")
OF_COOKER = re.compile(r"^/cookers/([^/]+)$")


def create_yard(services: Sequence[CookService], store: CookStore, **more: Any) -> Starlette:
    """The page over one service a cooker and one store; options as in `create_app`. With one cooker just that app."""
    if len(services) == 1:
        return create_app(services[0], store, **more)
    apps = {str(service.now()["cooker"]): create_app(service, store, **more) for service in services}
    shop, seats = Workshop(), Seats()
    hubs = {name: app.state.hub for name, app in apps.items()}
    for name, app in apps.items():
        app.state.yard, app.state.own, app.state.hubs, app.state.workshop = list(services), name, hubs, shop
        app.state.seats = seats
    fork = Guard(Fork(apps, store), hosts=more.get("hosts", ()))
    yard = Starlette(routes=[Mount("/", app=fork)], lifespan=_lifespan)
    yard.state.apps, yard.state.workshop, yard.state.hub = apps, shop, Hubs(list(hubs.values()))
    return yard


class Hubs:
    """All hubs as one, for those who end them."""

    def __init__(self, hubs: list[Any]) -> None:
        self._hubs = hubs

    async def close(self) -> None:
        """Let every stream end."""
        for hub in self._hubs:
            await hub.close()


@contextlib.asynccontextmanager
async def _lifespan(yard: Starlette) -> AsyncIterator[None]:
    listening = [asyncio.create_task(app.state.hub.run()) for app in yard.state.apps.values()]
    yield
    yard.state.workshop.close()
    for task in listening:
        task.cancel()
    await asyncio.gather(*listening, return_exceptions=True)


class Fork:
    """ASGI: passes each request on to the application of its cooker."""

    def __init__(self, apps: Mapping[str, Starlette], store: CookStore) -> None:
        self._apps, self._store = dict(apps), store
        self._first = next(iter(self._apps))
        self._cook_on: dict[int, str] = {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        cooker = self._cooker(scope)
        app: ASGIApp | None = self._apps.get(cooker)
        if app is None:
            right = ", ".join(self._apps)
            app = error_response(404, "There is no such cooker", cooker, right)
        if scope["path"] == "/":
            scope = {**scope, "path": "/cookers", "raw_path": b"/cookers"}
        await app(scope, receive, send)

    def _cooker(self, scope: Scope) -> str:
        of_cook, of_cooker = OF_COOK.match(scope["path"]), OF_COOKER.match(scope["path"])
        if of_cook:
            return self._of_cook(int(of_cook[1]))
        if of_cooker:
            return of_cooker[1]
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("cooker")
        return asked[0] if asked else self._first

    def _of_cook(self, cook_id: int) -> str:
        """A cook of a cooker that this host does not mind (any more) is shown by the first."""
        if cook_id not in self._cook_on:
            row = self._store.cook(cook_id)
            if row is None:
                return self._first
            self._cook_on[cook_id] = str(row["cooker"])
        return self._cook_on[cook_id] if self._cook_on[cook_id] in self._apps else self._first
