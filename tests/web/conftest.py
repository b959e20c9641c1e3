"""The page as a person meets it: the real service over a real record, fed by a simulated board, and a browser."""

from __future__ import annotations

import asyncio
import contextlib
import os
import pickle
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from emberdraft.daemon.notify import Notifier
from emberdraft.web.app import create_app
from emberdraft.web.server import PageServer
from tests.kept import ROOT, digest, kept
from tests.receiver import Hook, receiving
from tests.web import kitchen as cooking
from tests.web.kitchen import FINISHED as FINISHED
from tests.web.kitchen import RUNNING as RUNNING
from tests.web.kitchen import CookingHost
from tests.web.real_host import Host, plain_http, real_host

MADE_OF = ("firmware/emberboard", "host/emberdraft", "tests/web/kitchen.py", "tests/web/simulated_board.py")
NOT_MADE_OF = ("web", "commands", "deploy", "bench")  # no cook is in there
# The same engine without the windows of a desk: a page costs it a third of the processor time. Else the whole browser.
BROWSERS = ("/usr/bin/chromium-headless-shell", "/usr/bin/chromium")
BROWSER = os.environ.get("EMBERDRAFT_BROWSER") or next(filter(os.path.exists, BROWSERS), BROWSERS[-1])


class Postbox:
    """A channel of notices that keeps what it is given, or is closed."""

    name = "webhook"

    def __init__(self) -> None:
        self.got: list[Any] = []
        self.open = True

    def send(self, notice: Any) -> None:
        if not self.open:
            raise OSError("nobody there")
        self.got.append(notice)

    def trouble(self, error: Exception) -> str:
        return f"{self.name}: {type(error).__name__}: {error}"


class Kitchen(CookingHost):
    """The host with its page."""

    def __init__(self, folder: Path, made: Path | None, port: int = 0) -> None:
        at_s, board = pickle.loads((made / "board").read_bytes()) if made else (cooking.START_S, None)
        if made:
            shutil.copy(made / "cooks.sqlite", folder)
        self.postbox = Postbox()
        super().__init__(folder / "cooks.sqlite", at_s, board, Notifier([self.postbox]))
        self.begun_with = 0
        self.server = PageServer(create_app(self.service, self.store), port=port).start()
        self.http = plain_http(self.server.url)

    @property
    def url(self) -> str:
        return self.server.url

    def post(self, path: str, body: object) -> httpx.Response:
        return self.http.post(path, json=body)

    def marks(self) -> list[tuple[str, float | None, str]]:
        """What was noted since the board was switched over to this host."""
        rows = self.store.marks(RUNNING)[self.begun_with :]
        return [(row["kind"], row["value"], row["text"]) for row in rows]

    def close(self) -> None:
        self.http.close()
        self.server.stop()
        super().close()


@contextlib.contextmanager
def open_kitchen(folder: Path, made: Path, port: int = 0, forecasts: bool = False) -> Iterator[Kitchen]:
    """A host that goes on with the cook; its board has been heard, and its order of the phase was answered."""
    host = Kitchen(folder, made, port)
    if not forecasts:
        cooking.without_forecasts(host)
    for _ in range(4):
        host.pass_s()
    host.orders.clear()
    host.begun_with = len(host.store.marks(RUNNING))
    yield host
    host.close()


def _made_of() -> str:
    tops = map(ROOT.joinpath, MADE_OF)
    found = [path for top in tops for path in (top.rglob("*") if top.is_dir() else [top])]
    return digest(
        path
        for path in found
        if path.suffix in (".py", ".sql", ".toml") and path.relative_to(ROOT).parts[2] not in NOT_MADE_OF
    )


@pytest.fixture(scope="session")
def larder() -> Path:
    """The folder with the cooks and their board, made once for all processes of the tests and kept for the next run."""
    return kept("cooked", _made_of(), cooking.make)


@pytest.fixture(scope="session")
def cooked(larder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record with both cooks, for tests that need no more."""
    return Path(shutil.copy(larder / "cooks.sqlite", tmp_path_factory.mktemp("cooked")))


@pytest.fixture
def kitchen(larder: Path, tmp_path: Path) -> Iterator[Kitchen]:
    """A fresh host for one test."""
    with open_kitchen(tmp_path, larder) as host:
        yield host


@pytest.fixture(scope="module")
def shared(larder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """One host for the tests of a module that change nothing."""
    with open_kitchen(tmp_path_factory.mktemp("shared"), larder) as host:
        yield host


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    """The page over the real service, with no cook and nothing heard."""
    with real_host(tmp_path) as made:
        yield made


@pytest.fixture
def hook() -> Iterator[Hook]:
    """A real receiver of notices."""
    with receiving() as made:
        yield made


@pytest.fixture(scope="session")
def one_browser() -> Iterator[Any]:
    """A browser, or a sentence that says what is missing; where CI is set a missing browser fails."""
    if not Path(BROWSER).exists():
        why = f"no browser at {BROWSER}: `make browser` installs one, or set EMBERDRAFT_BROWSER"
        if os.environ.get("CI") == "true":
            pytest.fail(why)
        pytest.skip(why)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        loop = asyncio.get_running_loop()
        asyncio._set_running_loop(None)
        yield browser, loop
        asyncio._set_running_loop(loop)
        browser.close()


@pytest.fixture(scope="module")
def chromium(one_browser: Any) -> Iterator[Any]:
    """The browser. While it is driven an event loop runs in this thread; between two files of tests it stands."""
    browser, loop = one_browser
    asyncio._set_running_loop(loop)
    yield browser
    asyncio._set_running_loop(None)
