"""Help under /help: the site that is built, safe for a page without inline scripts; or where its files are."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import httpx
import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.routing import Mount

from emberdraft.web.guard import Guard
from emberdraft.web.help import Help
from tests.docs_site import INLINE

TEMPLATE = Path(__file__).parents[2] / "host" / "emberdraft" / "web" / "templates" / "health.html"


def asked(address: str, site: Path, docs: Path) -> httpx.Response:
    app = Starlette(routes=[Mount("/help", Help(site, docs))], middleware=[Middleware(Guard)])

    async def get() -> httpx.Response:
        way = httpx.ASGITransport(app)
        async with httpx.AsyncClient(transport=way, base_url="http://127.0.0.1", follow_redirects=True) as browser:
            return await browser.get(address)

    return asyncio.run(get())


def test_the_built_site_is_served_with_its_pages_and_its_search(tmp_path: Path) -> None:
    site, docs = tmp_path / "site", tmp_path / "docs"
    (site / "search").mkdir(parents=True)
    (site / "index.html").write_text("<p>start")
    (site / "search" / "search_index.json").write_text("{}")
    (tmp_path / "secret").write_text("not for anybody")
    assert "start" in asked("/help", site, docs).text
    assert asked("/help/search/search_index.json", site, docs).json() == {}
    assert asked("/help/..%2fsecret", site, docs).status_code == 404
    assert asked("/help/nothing.html", site, docs).status_code == 404


def test_a_site_that_nobody_built_is_said_in_one_line_with_the_folder(tmp_path: Path) -> None:
    said = asked("/help/", tmp_path / "none", tmp_path)
    assert said.status_code == 200 and str(tmp_path) in said.text and said.text.count("\n") == 1
    assert "not part of this installation" in asked("/help/", tmp_path / "none", tmp_path / "nor docs").text


def test_it_is_linked_where_a_person_looks_when_something_is_wrong() -> None:
    assert re.search(r'<a [^>]*href="/help/">Help</a>', TEMPLATE.read_text(encoding="utf-8"))


@pytest.mark.parametrize("script", ["var a = 1;", "\n  var b = '<p>';\n"])
def test_what_the_hook_takes_for_an_inline_script_is_one(script: str) -> None:
    page = f'<script src="x.js"></script><script>{script}</script>'
    assert INLINE.findall(page) == [script]
