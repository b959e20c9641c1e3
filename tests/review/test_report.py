"""The report: whole in one file, the same numbers as the summary, gaps shown as gaps."""

from __future__ import annotations

import re
import sys
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from pathlib import Path

import pytest

from emberdraft.errors import UserError
from emberdraft.review import figures_of, summary_text
from emberdraft.review.happened import happened
from emberdraft.review.report import html_of, write_report
from emberdraft.store import Store
from tests.store.making import START_S, reading


class _Page(HTMLParser):
    """Text of a page, its tags in order, and every address in it."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.tags: list[str] = []
        self.addresses: list[str | None] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [value for name, value in attrs if name in ("src", "href", "srcset", "action")]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def _svg(html: str) -> ET.Element:
    found = re.search(r"<svg.*?</svg>", html, re.DOTALL)
    assert found is not None
    return ET.fromstring(found.group(0))


def _classes(svg: ET.Element, name: str) -> list[ET.Element]:
    return [element for element in svg.iter() if name in element.get("class", "").split()]


def test_it_loads_nothing_from_anywhere(store: Store, cook: int) -> None:
    html = html_of(store, cook)
    assert _Page(html).addresses == []
    assert "http" not in html and "url(" not in html and "@import" not in html
    assert "script" not in _Page(html).tags


def test_its_figures_are_those_of_the_summary(store: Store, cook: int) -> None:
    texts = _Page(html_of(store, cook)).texts
    cells = [
        cell for line in summary_text(figures_of(store, cook)).splitlines()[5:9] for cell in re.split(r"  +", line)
    ]
    assert len(cells) == 40
    assert [cell for cell in cells if cell not in texts] == []


def test_the_numbers_in_the_picture_are_those_of_the_list(store: Store, cook: int) -> None:
    told = happened(figures_of(store, cook))
    svg = _svg(html_of(store, cook))
    assert [group[-1].text for group in _classes(svg, "told")] == [str(n) for n in range(1, len(told) + 1)]
    assert [row["kind"] for row in told] == ["alarm", "lid", "mark"]


def test_a_gap_breaks_the_line(store: Store, cook: int) -> None:
    (pit,) = [path for path in _classes(_svg(html_of(store, cook)), "pit") if path.tag.endswith("path")]
    assert pit.get("d", "").count("M") == 2


def test_lines_lie_where_their_values_are(store: Store) -> None:
    """120 of 0..150 degC in a lane from 340 up to 40 is at 340 - 300 * 0.8."""
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    store.add_records("yard", "b1", [reading(k, pit_c=120.0, stone_c=60.0) for k in range(100)])
    svg = _svg(html_of(store, cook_id))
    ys = {
        name: set(re.findall(r"[ML][\d.]+ ([\d.]+)", next(p.get("d", "") for p in _classes(svg, name) if p.get("d"))))
        for name in ("pit", "stone")
    }
    # Nothing above 120 is shown, and the scale ends at the next 50: 150.
    assert ys == {"pit": {"100.0"}, "stone": {"220.0"}}


def test_a_name_cannot_break_the_page(store: Store) -> None:
    name = '<script>alert(1)</script> & "chops"'
    cook_id = store.begin_cook("yard", name, None, START_S)
    store.add_piece(cook_id, "A", "<b>bold</b>", 0, 57.0)
    page = _Page(html_of(store, cook_id))
    assert "script" not in page.tags and "b" not in page.tags
    assert name in page.texts


def test_a_cook_without_readings_has_a_report(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    assert "0\u00a0readings" in html_of(store, cook_id) or "0 readings" in html_of(store, cook_id)


def test_in_fahrenheit(store: Store, cook: int) -> None:
    html = html_of(store, cook, "f")
    assert "600 °F" in html and "plus and minus 5.4\u00a0°F" in html


@pytest.mark.parametrize(("ending", "starts"), [("png", b"\x89PNG\r\n"), ("pdf", b"%PDF-")])
def test_pictures_come_whole_and_the_same_each_time(
    store: Store, cook: int, tmp_path: Path, ending: str, starts: bytes
) -> None:
    once, again = tmp_path / f"once.{ending}", tmp_path / f"again.{ending}"
    for path in (once, again):
        write_report(store, cook, str(path))
    assert once.read_bytes().startswith(starts)
    assert once.read_bytes() == again.read_bytes()
    assert {path.name for path in tmp_path.iterdir() if ending in path.name} == {once.name, again.name}


def test_html_is_written_to_a_file(store: Store, cook: int, tmp_path: Path) -> None:
    write_report(store, cook, str(tmp_path / "supper.html"))
    assert (tmp_path / "supper.html").read_text(encoding="utf-8") == html_of(store, cook)


def test_without_matplotlib_a_picture_is_refused_in_words(
    store: Store, cook: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    with pytest.raises(UserError, match="need matplotlib"):
        write_report(store, cook, str(tmp_path / "supper.png"))
    write_report(store, cook, str(tmp_path / "supper.html"))


@pytest.mark.parametrize(
    ("target", "said"),
    [
        ("supper.doc", "one of .html, .png, .pdf"),
        ("/no/such/folder/a.html", "cannot be written"),
        ("/no/such/folder/a.pdf", "cannot be written"),
    ],
)
def test_what_cannot_be_written_is_said(store: Store, cook: int, target: str, said: str) -> None:
    with pytest.raises(UserError, match=said):
        write_report(store, cook, target)
