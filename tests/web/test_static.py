"""What the page is made of: one library unchanged, nothing from elsewhere, small, and readable."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest

from emberdraft.web.pages import STATIC, TEMPLATES, modules_of

# From the package uplot@1.6.32 of the npm registry, unpacked and not touched.
UPLOT = {
    "uPlot.iife.min.js": "19c8d4c6ad88929a79f4ae49d6f7161566dfd0ba3d15cc495e974f787eb78f1f",
    "uPlot.min.css": "df630c6a8d6f8eeaff264b50f73ce5b114f646ffd9a0bb74f049b0a00135fa04",
    "LICENSE": "8f989229699b4fe2f1a0432d0e9edc338a8a911e250e2d1b01ecd770a5f5b1bd",
}
MOST_BYTES = 300_000
PAGES = ("now", "cooks", "cook", "plans", "health", "tuning", "cookers", "kitchen", "enter")
PAGES += ("trials", "trial", "tasting", "brine", "calls", "reached", "begin", "shelf")


def files() -> list[Path]:
    return [path for folder in (STATIC, TEMPLATES) for path in sorted(folder.rglob("*")) if path.is_file()]


@pytest.mark.parametrize(("name", "sha256"), UPLOT.items())
def test_uplot_is_unchanged(name: str, sha256: str) -> None:
    assert hashlib.sha256((STATIC / "uplot" / name).read_bytes()).hexdigest() == sha256


@pytest.mark.parametrize("name", PAGES)
def test_what_a_page_fetches_is_small(name: str) -> None:
    """Uncompressed, and every style counted, so that no first paint fetches more."""
    fetched = [STATIC / "js" / module for module in modules_of(name)]
    fetched += [STATIC / "uplot" / file for file in UPLOT if file != "LICENSE"]
    fetched += [*(STATIC / "css").iterdir(), STATIC / "early.js", STATIC / "icon.svg"]
    fetched += [TEMPLATES / "base.html", TEMPLATES / f"{name}.html"]
    assert sum(path.stat().st_size for path in fetched) < MOST_BYTES


@pytest.mark.parametrize("path", [p for p in files() if p.parent.name != "uplot"], ids=lambda p: p.name)
def test_nothing_is_fetched_from_elsewhere(path: Path) -> None:
    text = path.read_text(encoding="utf-8").replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?://|//cdn|@import|url\(", text)


@pytest.mark.parametrize("path", [p for p in files() if p.suffix == ".html"], ids=lambda p: p.name)
def test_no_script_or_style_stands_in_the_markup(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"\sstyle=|\son\w+=|<style|<script>", text)


@pytest.mark.parametrize("name", PAGES)
def test_a_page_preloads_every_module_it_imports(name: str) -> None:
    modules = modules_of(name)
    assert all((STATIC / "js" / module).is_file() for module in modules)
    assert len(set(modules)) == len(modules)


@pytest.mark.parametrize("path", sorted((STATIC / "js").glob("*.js")), ids=lambda p: p.name)
def test_every_module_is_used_and_short(path: Path) -> None:
    used = {module for name in PAGES for module in modules_of(name)}
    assert path.name in used
    assert len(path.read_text(encoding="utf-8").splitlines()) < 300


# --- contrast, by the formulas of WCAG 2.2 (relative luminance, contrast ratio)


def luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: str, b: str) -> float:
    light, dark = sorted((luminance(a), luminance(b)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def themes() -> dict[str, dict[str, str]]:
    blocks = re.findall(r"color-scheme: (light|dark);(.*?)\}", (STATIC / "css/tokens.css").read_text(), re.DOTALL)
    found: dict[str, dict[str, str]] = {}
    for theme, block in blocks:
        tokens = dict(re.findall(r"--([\w-]+): (#\w{6})", block))
        assert found.setdefault(theme, tokens) == tokens, "the chosen and the preferred theme must be the same"
    return found


TEXT_PAIRS = [
    *((ink, paper) for ink in ("ink", "ink-2", "pit", "stone", "air", "trip") for paper in ("paper", "wash")),
    *(("ink", "wash-2"), ("ink-2", "wash-2"), ("warn", "warn-wash"), ("trip", "trip-wash"), ("act-ink", "act")),
]


def test_the_formula_gives_the_known_ratio() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)  # WCAG 2.2, contrast ratio


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), TEXT_PAIRS)
def test_text_can_be_read(theme: str, text: str, ground: str) -> None:
    tokens = themes()[theme]
    assert contrast(tokens[text], tokens[ground]) >= 4.5  # WCAG 2.2, 1.4.3 at level AA


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_borders_of_controls_can_be_seen(theme: str) -> None:
    tokens = themes()[theme]
    assert contrast(tokens["edge"], tokens["paper"]) >= 3.0  # WCAG 2.2, 1.4.11


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("line", ["pit-under", "stone-under", "air-under", "food-under"])
def test_lines_of_a_second_cook_can_be_seen(theme: str, line: str) -> None:
    tokens = themes()[theme]
    assert contrast(tokens[line], tokens["paper"]) >= 3.0  # WCAG 2.2, 1.4.11
