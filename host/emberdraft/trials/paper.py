"""The trial's report as pages to print, by matplotlib, which is an extra and is imported only here."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from emberdraft.errors import UserError
from emberdraft.trials import report
from emberdraft.trials.answer import day
from emberdraft.trials.measures import MEASURES

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Row = dict[str, Any]
A4_IN = (8.27, 11.69)
WRAP = 96
LINES_A_PAGE = 62
INK, QUIET, PIT = "#14191c", "#4b555b", "#005fa8"


def save(path: Path, answer: Row) -> None:
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
        shown = [row for row in answer["measures"] if any(c["pairs"] for c in row["contrasts"])]
        for first in range(0, len(shown), 4):
            pages.savefig(_picture_page(shown[first : first + 4]))


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
    heads, rows = report.values_rows(answer)
    cells = (", ".join(f"{head} {cell}" for head, cell in zip(heads, row, strict=True) if cell != "–") for row in rows)
    yield "Data", list(cells)
    for row in answer["measures"]:
        lines = [line for c in row["contrasts"] for line in (c["words"], *report.tests_words(c))]
        yield row["words"].capitalize(), [*lines, *report.omnibus_words(row["omnibus"])]
    for row in answer["tastings"]:
        yield f"Tasting: {row['method']}", report.tasting_lines(row)
    yield "Limits", answer["limits"]
    yield "How it was worked out", list(report.METHODS)


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
        axes = page.add_axes((0.3, 0.77 - 0.235 * place, 0.62, 0.16))
        _forest(axes, row)
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
    axes.set_title(
        f"{row['words']}: {contrast['of']} less {contrast['less']}, {unit}", fontsize=9, loc="left", color=INK
    )
    axes.spines[["top", "right"]].set_visible(False)
