"""The pages as a whole: each link and anchor leads somewhere, each page is on the site, and none is a book.

A quick look without MkDocs; where it is installed (`make docs` does so) the site is built strictly as well.
"""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest

from tests.docs_site import relinked

ROOT = Path(__file__).parents[1]
PAGES = sorted(path for pattern in ("*.md", "docs/**/*.md", "hardware/*.md") for path in ROOT.glob(pattern))
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
FENCE = re.compile(r"^ *```.*?^ *```$", re.MULTILINE | re.DOTALL)
MOST_WORDS = 1500
# The safety case: every hazard, alarm and bound with its test. It is looked up, and its place is held by its tests.
LOOKED_UP = ("reference/", "explain/safety.md")


def prose(page: Path) -> str:
    return FENCE.sub("", page.read_text(encoding="utf-8"))


def slugs(heading: str) -> tuple[str, str]:
    """As GitHub makes an anchor of a heading, and as Python-Markdown's toc does (each as its source has it)."""
    words = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading).replace("`", "").strip()
    github = re.sub(r"[^\w\- ]", "", words.lower()).replace(" ", "-")
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode()
    site = re.sub(r"[-\s]+", "-", re.sub(r"[^\w\s-]", "", plain).strip().lower())
    return github, site


def anchors(page: Path) -> set[str]:
    """Anchors that work in both places."""
    found = set()
    for heading in re.findall(r"^#{1,6} (.+)$", prose(page), re.MULTILINE):
        github, site = slugs(heading)
        found |= {github} if github == site else set()
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_link_and_anchor_leads_somewhere(page: Path) -> None:
    for target in LINK.findall(prose(page)):
        path, _, anchor = target.partition("#")
        if "://" in target:
            continue
        there = (page.parent / path).resolve() if path else page
        assert there.exists(), target
        assert not anchor or anchor in anchors(there), f"{target}: no heading for it, or not the same on both sites"


@pytest.mark.parametrize(
    ("heading", "slug"),
    [
        ("Power back at three in the morning", "power-back-at-three-in-the-morning"),
        ("Flash, by the block", "flash-by-the-block"),
        ("`make docs`: how", "make-docs-how"),
    ],
)
def test_an_anchor_is_made_as_both_make_it(heading: str, slug: str) -> None:
    assert slugs(heading) == (slug, slug)


def test_every_page_is_on_the_site_once_and_no_other() -> None:
    named = re.findall(r": (\S+\.md)$", (ROOT / "mkdocs.yml").read_text(encoding="utf-8"), re.MULTILINE)
    there = {path.relative_to(ROOT / "docs").as_posix() for path in (ROOT / "docs").rglob("*.md")}
    there |= {path.relative_to(ROOT).as_posix() for path in (ROOT / "hardware").glob("*.md")}
    assert sorted(named) == sorted(there)


@pytest.mark.parametrize("page", sorted((ROOT / "docs").rglob("*.md")), ids=lambda page: str(page.relative_to(ROOT)))
def test_what_is_read_from_top_to_bottom_is_short(page: Path) -> None:
    if not page.relative_to(ROOT / "docs").as_posix().startswith(LOOKED_UP):
        words = re.sub(r"\]\([^)]*\)", "]", prose(page))
        assert len(re.findall(r"[^\W_][\w'.,-]*", words)) <= MOST_WORDS


SITE = {"howto/trouble.md", "hardware/wiring.md", "pictures/cook.svg"}


@pytest.mark.parametrize(
    ("link", "at", "there"),
    [
        ("[wires](../../hardware/wiring.md#one)", "howto/trouble.md", "[wires](../hardware/wiring.md#one)"),
        ("[mend](../docs/howto/trouble.md)", "hardware/wiring.md", "[mend](../howto/trouble.md)"),
        ("[`pid.py`](../../firmware/pid.py)", "howto/trouble.md", "`pid.py`"),
        ("![cook](../pictures/cook.svg)", "howto/trouble.md", "![cook](../pictures/cook.svg)"),
        ("[out](https://example.org/a.md)", "howto/trouble.md", "[out](https://example.org/a.md)"),
        ("[here](#below)", "howto/trouble.md", "[here](#below)"),
    ],
)
def test_a_link_is_led_right_on_the_site(link: str, at: str, there: str) -> None:
    found = re.fullmatch(r"(!?)\[([^\]]*)\]\(([^)\s]+)\)", link)
    assert found and relinked(found, at, SITE) == there


@pytest.mark.skipif(importlib.util.find_spec("mkdocs") is None, reason="MkDocs is not installed: `make docs` does")
def test_the_site_is_built_strictly_and_asks_nothing_of_the_network(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", str(tmp_path / "site")]
    subprocess.run(command, cwd=ROOT, check=True)
    for page in (tmp_path / "site").rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        assert "<script>" not in text
        assert re.findall(r'<(?:script|link|img)[^>]*(?:src|href)="https?:', text) == []
    assert (tmp_path / "site" / "search" / "search_index.json").stat().st_size > 100_000
