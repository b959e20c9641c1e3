"""`trial report TRIAL -o FILE`: design, data, analysis, limits: what a stranger needs to check it. HTML or PDF."""

from __future__ import annotations

import base64
import tempfile
from collections.abc import Iterator, Sequence
from html import escape
from pathlib import Path
from typing import Any

from emberdraft import __version__
from emberdraft.errors import UserError
from emberdraft.review.export import write_whole
from emberdraft.review.page import STYLE
from emberdraft.trials.answer import answer_of, day
from emberdraft.trials.curves import curves_of, curves_svg, legend
from emberdraft.trials.forest import forest_svg
from emberdraft.trials.measures import MEASURES, STEPS
from emberdraft.trials.words import p_words

Row = dict[str, Any]
MOST_PHOTOS = 12
DATA_CAPTION = "±: two standard uncertainties, from probes and their place in the piece, or from the scale."
WEIGHTS_CAPTION = "The last weighing of each step. Cooking loss is from going on, fridge loss until then."
BARS = "what probes or scale leave open, two standard uncertainties"
METHODS = (
    "Within a block the pieces are alike; a pair is the difference of its two treatments' means.",
    "Paired t: Student, The probable error of a mean, Biometrika 6 (1908). Wilcoxon's signed ranks: exact, zeros "
    "dropped. Swaps: the labels dealt again within each block, all ways when they are few (Fisher's randomisation "
    "test). More than two treatments: Friedman's ranks; p of each two by Holm's adjustment.",
    "Doubt of a single difference: probe tolerance and place of the tip, carried through the curve's slope; combined "
    "as in the GUM (JCGM 100:2008), shown as two standard uncertainties.",
    "Fewer than six pairs, or five tasters two-sided, can show nothing at the 5\u00a0% level whatever they say; no "
    "verdict is given of them.",
    "Tasting: exact binomial as in ISO 4120 (triangle), ISO 10399 (duo-trio), ISO 5495 (paired); who can really tell "
    "by Abbott's formula; d' by Thurstonian models (Ennis 1993).",
)
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


def made_by(answer: Row) -> str:
    """What worked it out, and where the numbers and the record are described."""
    return (
        f"Worked out by Emberdraft {__version__}. The numbers: emberdraft trial compare {answer['trial']['id']} "
        "--json; the record: docs/reference/database.md."
    )


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


def weights_rows(trial: Row) -> tuple[list[str], list[list[str]]]:
    """Heads and cells of the weights in g, a column for each step that was weighed; the last weighing of a step."""
    masses = {(w["trial_piece_id"], w["step"]): w["mass_kg"] for w in trial["weighings"]}
    steps = [step for step in STEPS if any(key[1] == step for key in masses)]
    rows = [[p["name"], *(_grams(masses.get((p["id"], step))) for step in steps)] for p in trial["pieces"]]
    return ["piece", *(f"{step}, g" for step in steps)], rows if steps else []


def values_rows(answer: Row) -> tuple[list[str], list[list[str]]]:
    """Heads and cells of the table of pieces."""
    keys = [key for key in MEASURES if any(key in row["values"] for row in answer["values"])]
    heads = ["piece", "block", "treatment", "cook", *(f"{MEASURES[k].words}, {MEASURES[k].unit}" for k in keys)]
    rows = [
        [
            row["name"], row["block"], row["treatment"] or "\u2013",
            "\u2013" if row["cook_id"] is None else f"{row['cook_id']} {row['letter']}",
            *(_cell(row["values"].get(key)) for key in keys),
        ]
        for row in answer["values"]
    ]  # fmt: skip
    return heads, rows


def _grams(mass_kg: float | None) -> str:
    return "\u2013" if mass_kg is None else f"{1000.0 * mass_kg:.0f}"


def _cell(found: Row | None) -> str:
    if found is None:
        return "\u2013"
    digits = 1 if found["value"] >= 10.0 else 3 if found["value"] < 1.0 else 2
    return f"{found['value']:.{digits}f}\u00a0\u00b1\u00a0{2.0 * found['doubt']:.{digits}f}"


def days_lines(answer: Row) -> list[str]:
    """The days before the cook, and on which days the cooks were."""
    trial = answer["trial"]
    said = []
    if trial["fridge"]:
        air = [row["air_c"] for row in trial["fridge"]]
        said.append(f"Fridge: {min(air):g} to {max(air):g} °C in {len(air)} readings.")
    said += [f"{day(look['at_s'])}: {look['words']}" for look in trial["looks"] if look["words"]]
    cooks = ", ".join(f"{cook['id']} on {day(cook['start_s'])}" for cook in answer["cooks"])
    return [*said, f"Cooks: {cooks}; all curves of one: emberdraft report COOK -o cook.html."] if cooks else said


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


def curves_caption(trial: Row, cook: Row) -> str:
    """What a picture of curves shows."""
    line = "" if cook["to_c"] is None else f" Line across: {cook['to_c']:g} °C."
    first = ", ".join(piece["name"] for piece in sorted(cook["pieces"], key=lambda p: p["minutes"][-1]))
    return (
        f"Cook {cook['cook']}: core in °C over minutes since each piece went on, until it was pulled: {first}. "
        f"{legend(trial['treatments'])}.{line}"
    )


def _measure(row: Row) -> str:
    unit = MEASURES[row["measure"]].unit_apart
    parts = [f"<h3>{escape(measure_title(row))}</h3>"]
    for contrast in row["contrasts"]:
        if contrast["pairs"]:
            caption = f"{contrast['of']} less {contrast['less']}, {unit}; bars: {BARS}."
            parts.append(f"<figure>{forest_svg(contrast, unit)}<figcaption>{escape(caption)}</figcaption></figure>")
    return "".join([*parts, _list(list(measure_lines(row)))])


def measure_title(row: Row) -> str:
    """A measure as a heading, with whether it decides."""
    return f"{row['words'][0].upper()}{row['words'][1:]}{', which decides' if row['decides'] else ''}"


def measure_lines(row: Row) -> Iterator[str]:
    """What a measure says: each comparison with its tests; over all treatments where there are more than two."""
    for contrast in row["contrasts"]:
        yield contrast["words"]
        yield from tests_words(contrast)
    if len(row["contrasts"]) > 1:
        yield from omnibus_words(row["omnibus"])


def tests_words(contrast: Row) -> Iterator[str]:
    """The three tests of a contrast in a line."""
    if contrast["p_t"] is not None:
        yield (
            f"Paired t {p_words(contrast['p_t'])}; signed ranks {p_words(contrast['p_wilcoxon'])}; swaps within pairs "
            f"{p_words(contrast['p_permutation'])}."
        )


def omnibus_words(omnibus: Row | None) -> Iterator[str]:
    """The tests over all treatments in a line."""
    if omnibus is not None:
        ranks = "" if omnibus["p_friedman"] is None else f"; Friedman's ranks {p_words(omnibus['p_friedman'])}"
        yield f"Swaps within {omnibus['blocks']} blocks {p_words(omnibus['p_blocked'])}{ranks}."


def tasting_lines(pooled: Row) -> list[str]:
    """A pooled tasting in lines."""
    asked = f"{pooled['asked']} {pooled['tastings']} tastings, {pooled['total']} answers, {pooled['tasters']} tasters."
    if pooled["share"] is None or pooled["too_few"]:
        return [asked, pooled["words"]]
    distance = "not to be told, all answers agree" if pooled["d_prime"] is None else f"{pooled['d_prime']:.2f}"
    return [
        asked,
        pooled["words"],
        f"Who can really tell: about {pooled['share']:.0%}. Sensory distance d': {distance}.",
    ]


def tasting_title(pooled: Row) -> str:
    """A pooled tasting as a heading."""
    return f"Tasting: {pooled['method']}, {pooled['a']} and {pooled['b']}"


def _tasting(pooled: Row) -> str:
    return f"<h3>{escape(tasting_title(pooled))}</h3>{_list(tasting_lines(pooled))}"
