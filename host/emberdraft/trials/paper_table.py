"""A table on pages to print: heads above each page, columns as wide as their words, a rule below each line."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

A4_IN = (8.27, 11.69)
LEFT, RIGHT, TOP, BOTTOM = 0.07, 0.95, 0.95, 0.06  # shares of the page
LARGEST_PT, SMALLEST_PT = 8.0, 4.5
LETTER_EM = 0.56  # a letter of DejaVu Sans is so wide on average, in its size
HEAD_WIDE = 11  # letters; longer heads are broken
GAP = 2  # letters between columns
INK, QUIET = "#14191c", "#4b555b"


def table_pages(
    title: str, caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]], left: int = 3
) -> Iterator[Figure]:
    """Pages with all rows; the first `left` columns are words, set to the left, the others to the right."""
    broken = ["\n".join(textwrap.wrap(head, HEAD_WIDE) or [""]) for head in heads]
    wide = [max(map(len, (*broken[k].split("\n"), *(row[k] for row in rows)))) + GAP for k in range(len(heads))]
    size_pt = _size_pt(sum(wide))
    step = 1.9 * size_pt / 72.0 / A4_IN[1]
    head_high = 1.3 * size_pt / 72.0 / A4_IN[1] * (1 + max(head.count("\n") for head in broken)) + 0.5 * step
    each = int((TOP - BOTTOM - 0.05 - head_high) / step)
    letter = size_pt * LETTER_EM / 72.0 / A4_IN[0]
    edges = [LEFT + letter * sum(wide[:k]) for k in range(len(wide) + 1)]
    for first in range(0, len(rows), each):
        page = _page(f"{title}{', continued' if first else ''}", caption)
        y = TOP - 0.05
        _line(page, y, broken, edges, letter, size_pt, left, QUIET)
        for k, row in enumerate(rows[first : first + each]):
            at = y - head_high - step * k
            _rule(page, at + 0.25 * step, edges[-1])
            _line(page, at, row, edges, letter, size_pt, left, INK)
        yield page


def _size_pt(letters: int) -> float:
    fits = (RIGHT - LEFT) * A4_IN[0] * 72.0 / (letters * LETTER_EM)
    return max(SMALLEST_PT, min(LARGEST_PT, fits))


def _page(title: str, caption: str) -> Figure:
    from matplotlib.figure import Figure

    page = Figure(figsize=A4_IN)
    page.text(LEFT, TOP, title, va="top", size=11, color=INK)
    page.text(LEFT, TOP - 0.022, caption, va="top", size=7, color=QUIET)
    return page


def _line(
    page: Figure, y: float, cells: Sequence[str], edges: Sequence[float], letter: float, size_pt: float, left: int,
    color: str,
) -> None:  # fmt: skip
    for k, cell in enumerate(cells):
        words = k < left
        x = edges[k] if words else edges[k + 1] - GAP * letter
        side = "left" if words else "right"
        page.text(x, y, cell, va="top", ha=side, multialignment=side, size=size_pt, color=color)


def _rule(page: Figure, y: float, right: float) -> None:
    from matplotlib.lines import Line2D

    page.add_artist(Line2D([LEFT, min(right, RIGHT)], [y, y], color="#c9cfd3", linewidth=0.5))
