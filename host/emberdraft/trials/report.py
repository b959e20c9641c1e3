"""`trial report TRIAL -o FILE`: design, data, analysis, limits: what a stranger needs to check it. HTML or PDF."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import Any

from emberdraft.errors import UserError
from emberdraft.review.export import write_whole
from emberdraft.review.page import STYLE
from emberdraft.trials.answer import answer_of, day
from emberdraft.trials.curves import curves_of, curves_svg
from emberdraft.trials.forest import forest_svg
from emberdraft.trials.measures import MEASURES
from emberdraft.trials.report_words import (
    BARS,
    DATA_CAPTION,
    METHODS,
    WEIGHTS_CAPTION,
    curves_caption,
    days_lines,
    made_by,
    measure_lines,
    measure_title,
    tasting_lines,
    tasting_title,
    values_rows,
    weights_rows,
)

Row = dict[str, Any]
MOST_PHOTOS = 12
_MORE_STYLE = """
svg.forest{min-width:0;max-width:760px}.forest .rule{stroke:var(--ink-2)}.forest .pair circle{fill:var(--ink)}
.forest .bar{stroke:var(--ink-2);stroke-width:2}svg .mean{fill:var(--pit)}
td,th{white-space:normal}.verdict{font-size:20px;line-height:1.35;border-left:6px solid var(--ink);padding-left:12px}
svg.curves{min-width:0;max-width:760px}.curves .core{fill:none;stroke:var(--ink);stroke-width:1.5}
.photos{display:flex;flex-wrap:wrap;gap:12px}.photos img{max-width:320px;max-height:240px}
"""


def write_report(record: Any, trial_id: int, target: str) -> None:
    """Write the report; the ending of `target` says which kind. The file appears whole or not at all."""
    path = Path(target)
    kind = path.suffix.lower()
    if kind not in (".html", ".pdf"):
        raise UserError(f"{target}: the ending says the kind of report; .html or .pdf would be right")
    answer = answer_of(record, trial_id)
    if kind == ".html":
        write_whole(path, iter([report_html(answer, photos_of(record, answer), curves_of(record, answer))]))
    else:
        _pdf(path, answer, curves_of(record, answer))


def _pdf(path: Path, answer: Row, curves: Sequence[Row]) -> None:
    from emberdraft.trials import paper

    try:
        with tempfile.TemporaryDirectory(dir=path.parent, prefix=f".{path.name}.") as folder:
            beside = Path(folder) / path.name
            paper.save(beside, answer, curves)
            beside.replace(path)
    except OSError as error:
        raise UserError(
            f"{path} cannot be written ({error.strerror}); name a file in a folder you can write"
        ) from error


def photos_of(record: Any, answer: Row) -> list[tuple[str, str]]:
    """(words, data address) of the first photos."""
    made: list[tuple[str, str]] = []
    for look in answer["trial"]["looks"]:
        found = record.trials.photo(look["id"]) if look["photo_bytes"] else None
        if found is not None and len(made) < MOST_PHOTOS:
            made.append((look["words"], f"data:{found[0]};base64,{base64.b64encode(found[1]).decode()}"))
    return made


def report_html(answer: Row, photos: Sequence[tuple[str, str]] = (), curves: Sequence[Row] = ()) -> str:
    """The whole file, nothing loaded from anywhere."""
    trial = answer["trial"]
    invented = "<p><strong>Invented: nothing in it was cooked or eaten.</strong></p>" if trial["invented"] else ""
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(trial["name"])}</title><style>{STYLE}{_MORE_STYLE}</style></head><body><main>
<h1>{escape(trial["name"])}</h1>
<p class="quiet">Trial {trial["id"]}, begun {day(trial["start_s"])}. {escape(trial["note"])}</p>{invented}
<p>{escape(trial["question"])}</p>
<p class="verdict">{escape(answer["verdict"])}</p>
<h2>Design</h2>{_list(answer["design"])}
<h2>Data</h2>{values_table(answer)}{_weights(trial)}{_list(days_lines(answer))}{_gallery(photos)}
{_curves(trial, curves)}
<h2>Analysis</h2>{"".join(_measure(row) for row in answer["measures"])}
{"".join(_tasting(row) for row in answer["tastings"])}
<h2>Limits</h2>{_list(answer["limits"])}
<h2>How it was worked out</h2>{_list(METHODS)}
<p class="quiet">{escape(made_by(answer))}</p>
</main></body></html>
"""


def _list(lines: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(line)}</li>' for line in lines)}</ul>"


def values_table(answer: Row) -> str:
    """Every piece with every value and its doubt."""
    return _table("Every piece", DATA_CAPTION, *values_rows(answer))


def _weights(trial: Row) -> str:
    heads, rows = weights_rows(trial)
    return _table("On the scale", WEIGHTS_CAPTION, heads, rows) if rows else ""


def _table(label: str, caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{escape(text)}</th>' for text in heads)
    body = "".join(
        f'<tr><th scope="row">{escape(row[0])}</th>{"".join(f"<td>{escape(c)}</td>" for c in row[1:])}</tr>'
        for row in rows
    )
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    region = f'<div class="wide" role="region" aria-label="{escape(label)}" tabindex="0">{table}</div>'
    return f'{region}<p class="quiet">{escape(caption)}</p>'


def _gallery(photos: Sequence[tuple[str, str]]) -> str:
    shown = "".join(
        f'<figure><img src="{address}" alt="photo"><figcaption>{escape(words)}</figcaption></figure>'
        for words, address in photos
    )
    return f'<div class="photos">{shown}</div>' if shown else ""


def _curves(trial: Row, curves: Sequence[Row]) -> str:
    return "".join(
        f"<figure>{curves_svg(cook)}<figcaption>{escape(curves_caption(trial, cook))}</figcaption></figure>"
        for cook in curves
    )


def _measure(row: Row) -> str:
    unit = MEASURES[row["measure"]].unit_apart
    parts = [f"<h3>{escape(measure_title(row))}</h3>"]
    for contrast in row["contrasts"]:
        if contrast["pairs"]:
            caption = f"{contrast['of']} less {contrast['less']}, {unit}; bars: {BARS}."
            parts.append(f"<figure>{forest_svg(contrast, unit)}<figcaption>{escape(caption)}</figcaption></figure>")
    return "".join([*parts, _list(list(measure_lines(row)))])


def _tasting(pooled: Row) -> str:
    return f"<h3>{escape(tasting_title(pooled))}</h3>{_list(tasting_lines(pooled))}"
