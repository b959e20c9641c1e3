"""`report COOK -o FILE`: one cook as a page to keep: html (nothing else needed), png or pdf (with matplotlib)."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from emberdraft.errors import UserError
from emberdraft.review import drawing
from emberdraft.review.export import write_whole
from emberdraft.review.figures import figures_of
from emberdraft.review.happened import happened
from emberdraft.review.page import report_html
from emberdraft.store.read import Reader

# Two for each pixel of the picture's width: every peak is in it, and the file stays small.
POINTS = 1900


def write_report(reader: Reader, cook_id: int, target: str, unit: str = "c") -> None:
    """Write the report; the ending of `target` says which kind. The file appears whole or not at all."""
    path = Path(target)
    write = _WRITERS.get(path.suffix.lower())
    if write is None:
        raise UserError(f"{target}: the ending says the kind of report; one of {', '.join(_WRITERS)} would be right")
    write(reader, cook_id, path, unit)


def html_of(reader: Reader, cook_id: int, unit: str = "c") -> str:
    """The report as one HTML page with its picture inside."""
    figures = figures_of(reader, cook_id)
    columns = reader.strip(cook_id, points=POINTS)
    svg = drawing.strip_svg(columns, figures, happened(figures), unit)
    return report_html(figures, svg, unit)


def _html(reader: Reader, cook_id: int, path: Path, unit: str) -> None:
    write_whole(path, iter([html_of(reader, cook_id, unit)]))


def _paper(reader: Reader, cook_id: int, path: Path, unit: str) -> None:
    from emberdraft.review import paper

    figures = figures_of(reader, cook_id)
    columns = reader.strip(cook_id, points=POINTS)
    try:
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=f".{path.name}.") as folder:
            beside = Path(folder) / path.name
            paper.save(beside, columns, figures, unit)
            beside.replace(path)
    except OSError as error:
        raise UserError(
            f"{path} cannot be written ({error.strerror}); name a file in a folder you can write"
        ) from error


_WRITERS: dict[str, Callable[[Reader, int, Path, str], None]] = {".html": _html, ".png": _paper, ".pdf": _paper}
