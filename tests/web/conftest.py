"""The page as a person meets it: a real server over a real database, a stand-in service, and a browser."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest

from emberdraft.store.store import Store
from emberdraft.web import PageServer, create_app
from tests.receiver import Hook, receiving
from tests.web import invented_store
from tests.web.fake_service import FakeService
from tests.web.real_host import Host, real_host

MINUTE = 83.0
RUNNING, FINISHED = 2, 1
BROWSER = os.environ.get("EMBERDRAFT_BROWSER", "/usr/bin/chromium")


@dataclass
class Kitchen:
    """One server with what stands behind it."""

    service: FakeService
    store: Store
    server: PageServer
    http: httpx.Client

    @property
    def url(self) -> str:
        return self.server.url

    def post(self, path: str, body: object) -> httpx.Response:
        return self.http.post(path, json=body)


@pytest.fixture(scope="session")
def cooked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database with the invented cook, made once."""
    path = tmp_path_factory.mktemp("cooked") / "cooks.sqlite"
    store, _ = invented_store.make(path, MINUTE)
    store.close()
    return path


def _kitchen(database: Path, speed: float = 1.0, port: int = 0) -> Kitchen:
    store = Store(database)
    service = FakeService(MINUTE, speed, store, RUNNING).start()
    server = PageServer(create_app(service, store), port=port).start()
    return Kitchen(service, store, server, httpx.Client(base_url=server.url, timeout=5.0))


def _close(kitchen: Kitchen) -> None:
    kitchen.http.close()
    kitchen.server.stop()
    kitchen.service.stop()
    kitchen.store.close()


@pytest.fixture
def kitchen(cooked: Path, tmp_path: Path) -> Iterator[Kitchen]:
    """A fresh server for one test."""
    made = _kitchen(Path(shutil.copy(cooked, tmp_path)))
    yield made
    _close(made)


@pytest.fixture(scope="module")
def shared(cooked: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kitchen]:
    """One server for the tests of a module that change nothing."""
    made = _kitchen(Path(shutil.copy(cooked, tmp_path_factory.mktemp("shared"))))
    yield made
    _close(made)


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
def chromium() -> Iterator[Any]:
    """A browser, or a sentence that says what is missing; where CI is set a missing browser fails."""
    if not Path(BROWSER).exists():
        why = f"no browser at {BROWSER}: `make browser` installs one, or set EMBERDRAFT_BROWSER"
        if os.environ.get("CI") == "true":
            pytest.fail(why)
        pytest.skip(why)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=BROWSER, args=["--no-sandbox"])
        yield browser
        browser.close()
