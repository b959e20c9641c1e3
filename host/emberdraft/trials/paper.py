"""The trial's report as pages to print, by matplotlib, which is an extra and is imported only here."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from emberdraft.errors import UserError
from emberdraft.trials import report_words
from emberdraft.trials.answer import day
from emberdraft.trials.measures import MEASURES
from emberdraft.trials.paper_table import A4_IN, table_pages

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Row = dict[str, Any]
WRAP = 96
LINES_A_PAGE = 62
PICTURES_A_PAGE = 5
CURVES_A_PAGE = 3
DASHES: tuple[Any, ...] = ("-", (0, (5, 3)), (0, (1, 2)), (0, (8, 2, 1, 2)), (0, (1, 3)), (0, (9, 4)))
INK, QUIET, PIT = "#14191c", "#4b555b", "#005fa8"


def save(path: Path, answer: Row, curves: Sequence[Row] = ()) -> None:
    """Write the pdf; the same trial gives the same bytes."""
    try:
        from matplotlib.backends.backend_pdf import PdfPages
    except ImportError:
        raise UserError(
            "pdf needs matplotlib, which is not installed: pip install matplotlib; html needs nothing"
        ) from None
    dateless = {"CreationDate": None, "ModDate": None, "Producer": None, "Title": answer["trial"]["name"]}
    with PdfPages(path, metadata=dateless) as pages:
        lines = list(text_lines(answer))
        for first in range(0, len(lines), LINES_A_PAGE):
            pages.savefig(_text_page(lines[first : first + LINES_A_PAGE]))
        for page in _tables(answer):
            pages.savefig(page)
        for first in range(0, len(curves), CURVES_A_PAGE):
            pages.savefig(_curves_page(answer["trial"], curves[first : first + CURVES_A_PAGE]))
        shown = [row for row in answer["measures"] if any(c["pairs"] for c in row["contrasts"])]
        for first in range(0, len(shown), PICTURES_A_PAGE):
            pages.savefig(_picture_page(shown[first : first + PICTURES_A_PAGE]))


def _tables(answer: Row) -> Iterator[Figure]:
    yield from table_pages("Data: every piece", report_words.DATA_CAPTION, *report_words.values_rows(answer), left=4)
    heads, rows = report_words.weights_rows(answer["trial"])
    if rows:
        yield from table_pages("Data: on the scale", report_words.WEIGHTS_CAPTION, heads, rows, left=1)


def text_lines(answer: Row) -> Iterator[str]:
    """All words of the report, wrapped to a page's width."""
    trial = answer["trial"]
    yield from (trial["name"], f"Trial {trial['id']}, begun {day(trial['start_s'])}.")
    yield from _wrapped([trial["note"], trial["question"], "", answer["verdict"]], "")
    for title, lines in _sections(answer):
        yield from ("", title)
        yield from _wrapped(lines, "- ")


def _sections(answer: Row) -> Iterator[tuple[str, list[str]]]:
    yield "Design", answer["design"]
    yield "Data", ["Tables of every piece and its weights follow the text.", *report_words.days_lines(answer)]
    for row in answer["measures"]:
        yield report_words.measure_title(row), list(report_words.measure_lines(row))
    for row in answer["tastings"]:
        yield report_words.tasting_title(row), report_words.tasting_lines(row)
    yield "Limits", answer["limits"]
    yield "How it was worked out", [*report_words.METHODS, report_words.made_by(answer)]


def _wrapped(lines: list[str], mark: str) -> Iterator[str]:
    for line in lines:
        plain = line.replace("\u202f", " ")
        yield from textwrap.wrap(plain, WRAP, initial_indent=mark, subsequent_indent=" " * len(mark)) or [""]


def _page() -> Figure:
    from matplotlib.figure import Figure

    return Figure(figsize=A4_IN)


def _text_page(lines: list[str]) -> Figure:
    page = _page()
    page.text(0.09, 0.95, "\n".join(lines), va="top", family="DejaVu Sans Mono", size=8, color=INK, linespacing=1.4)
    return page


def _picture_page(rows: list[Row]) -> Figure:
    page = _page()
    for place, row in enumerate(rows):
        axes = page.add_axes((0.3, 0.82 - 0.19 * place, 0.62, 0.12))
        _forest(axes, row)
    return page


def _curves_page(trial: Row, cooks: Sequence[Row]) -> Figure:
    """Core temperatures, a picture a cook."""
    page = _page()
    for place, cook in enumerate(cooks):
        axes = page.add_axes((0.1, 0.7 - 0.3 * place, 0.78, 0.2))
        for piece in cook["pieces"]:
            axes.plot(piece["minutes"], piece["core_c"], color=INK, linewidth=1, linestyle=DASHES[piece["treatment"]])
            axes.annotate(piece["name"], (piece["minutes"][-1], piece["core_c"][-1]), fontsize=7, color=INK)
        if cook["to_c"] is not None:
            axes.axhline(cook["to_c"], color=QUIET, linewidth=0.8)
        axes.tick_params(labelsize=7)
        axes.set_title("\n".join(textwrap.wrap(report_words.curves_caption(trial, cook), 110)), fontsize=8, loc="left")
        axes.spines[["top", "right"]].set_visible(False)
    return page


def _forest(axes: Axes, row: Row) -> None:
    """The first contrast of a measure, block by block."""
    contrast = row["contrasts"][0]
    names = [pair["block"] for pair in contrast["pairs"]]
    for y, pair in enumerate(contrast["pairs"]):
        axes.errorbar(pair["difference"], y, xerr=2.0 * pair["doubt"], fmt="o", color=INK, ecolor=QUIET, markersize=4)
    if contrast["low"] is not None:
        names.append("mean, 95 % interval")
        reach = [[contrast["mean"] - contrast["low"]], [contrast["high"] - contrast["mean"]]]
        axes.errorbar(contrast["mean"], len(names) - 1, xerr=reach, fmt="D", color=PIT, linewidth=2)
    axes.axvline(0.0, color=QUIET, linewidth=0.8)
    axes.set_yticks(range(len(names)), names, fontsize=7)
    axes.invert_yaxis()
    axes.tick_params(axis="x", labelsize=7)
    unit = MEASURES[row["measure"]].unit_apart
    title = f"{row['words']}: {contrast['of']} less {contrast['less']}, {unit}; bars: {report_words.BARS}"
    axes.set_title(title, fontsize=8, loc="left", color=INK, x=-0.4)
    axes.spines[["top", "right"]].set_visible(False)
