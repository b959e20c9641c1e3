"""The printed report: one HTML file with its picture inside, nothing loaded from anywhere."""

from __future__ import annotations

from html import escape
from typing import Any

from emberdraft.quantities import say_difference
from emberdraft.review import summary
from emberdraft.review.happened import clock, happened
from emberdraft.review.metrics import BAND_C
from emberdraft.said import render

Row = dict[str, Any]

_LIGHT = """--paper:#fff;--wash:#e6eae7;--ink:#14191c;--ink-2:#4b555b;--rule:#d3d9d6;--pit:#005fa8;--stone:#b63d00;
--air:#00725a;--air-fill:#a9d6c8;--pit-wash:#d6e7f5;--stone-wash:#f7dfd2;--trip:#8f1044"""
_DARK = """--paper:#14181a;--wash:#2b3236;--ink:#eef2ef;--ink-2:#aeb8bb;--rule:#323a3e;--pit:#6db9f2;--stone:#ff9559;
--air:#45cfa9;--air-fill:#1d5a4a;--pit-wash:#1c3447;--stone-wash:#4a2a19;--trip:#ff9ec0"""

STYLE = f"""
:root{{color-scheme:light dark;{_LIGHT}}}
@media screen and (prefers-color-scheme:dark){{:root{{{_DARK}}}}}
body{{margin:24px auto;max-width:1100px;padding:0 16px;background:var(--paper);color:var(--ink);
font:16px/1.5 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","Liberation Sans",sans-serif;
font-variant-numeric:tabular-nums}}
h1{{font-size:28px;line-height:1.2;margin:0 0 4px}}h2{{font-size:20px;margin:32px 0 8px}}p{{margin:4px 0}}
figure{{margin:24px 0;overflow-x:auto}}svg{{display:block;width:100%;min-width:640px;height:auto}}
figcaption,.quiet{{color:var(--ink-2);font-size:14px}}
.wide{{overflow-x:auto}}table{{border-collapse:collapse;width:100%;white-space:nowrap}}
th,td{{text-align:right;padding:4px 8px;border-bottom:1px solid var(--rule);font-weight:400}}
thead th{{color:var(--ink-2);font-size:14px}}th:first-child{{text-align:left}}
ol,ul{{padding-left:2.2em;margin:0}}.columns{{columns:2;column-gap:32px}}time{{color:var(--ink-2);margin-right:8px}}
svg text{{font-size:13px;fill:var(--ink)}}svg .axis{{fill:var(--ink-2)}}
svg .end{{text-anchor:end}}svg .middle,.told text{{text-anchor:middle}}
svg path{{fill:none}}.phase{{fill:var(--wash)}}.lid{{fill:var(--wash)}}.lid-bar{{fill:var(--ink)}}
.wanted-pit{{fill:var(--pit-wash)}}.wanted-stone{{fill:var(--stone-wash)}}.rule{{stroke:var(--rule)}}
path.pit{{stroke:var(--pit);stroke-width:2.5}}path.stone{{stroke:var(--stone);stroke-width:2}}
path.piece{{stroke:var(--ink);stroke-width:1.75}}text.pit{{fill:var(--pit)}}text.stone{{fill:var(--stone)}}
text.air{{fill:var(--air)}}svg .blower-fill{{fill:var(--air-fill)}}.blower{{stroke:var(--air)}}
.damper{{stroke:var(--air);stroke-width:2}}.vent_top{{stroke:var(--ink-2);stroke-dasharray:7 3 2 3}}
.vent_bottom{{stroke:var(--ink-2);stroke-dasharray:2 3}}
.told path{{stroke:var(--ink-2)}}.told circle,.told rect{{fill:var(--ink)}}.told.alarm rect{{fill:var(--trip)}}
svg .told text{{fill:var(--paper);font-size:11px}}
@media(max-width:700px){{.columns{{columns:1}}}}
"""


def report_html(figures: Row, svg: str, unit: str) -> str:
    """The whole file. `svg` is the strip, `unit` 'c' or 'f'."""
    cook = figures["cook"]
    first, *more = summary.head_words(cook).splitlines()
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(cook["name"])}</title><style>{STYLE}</style></head><body><main>
<h1>{escape(cook["name"])}</h1>
<p class="quiet">{escape(first)}</p>
{"".join(f"<p>{escape(line)}</p>" for line in more)}
<figure tabindex="0" aria-label="The strip of the cook">{svg}<figcaption>{_caption(unit)} The numbers:
<code>emberdraft export {cook["id"]} --format csv</code></figcaption></figure>
{_section("Figures of each phase", _table(figures["phases"], unit))}
{_section("Pieces", _items("ul", [summary.piece_words(piece, unit) for piece in figures["pieces"]]))}
{_section("Safe food", _items("ul", summary.safety_lines(figures["pieces"], unit)))}
{_section("What happened", _told(figures, unit))}
<p class="quiet">{escape(summary.record_words(figures["record"]))}</p>
</main></body></html>
"""


def _caption(unit: str) -> str:
    return (
        f"Band: wanted, plus and minus {say_difference(BAND_C, unit)}. Filled: blower. Stepped: damper; dashed the top "
        "vent and dotted the bottom vent as set by hand. Black bar: lid open. A gap is a gap in the record."
    )


def _table(phases: list[Row], unit: str) -> str:
    if not phases:
        return ""
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in summary.phase_heads(unit))
    lines = (summary.phase_cells(phase, unit) for phase in phases)
    rows = "".join(
        f'<tr><th scope="row">{escape(first)}</th>{"".join(f"<td>{escape(cell)}</td>" for cell in cells)}</tr>'
        for first, *cells in lines
    )
    body = f"<table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>"
    return f'<div class="wide" role="region" aria-label="Figures of each phase" tabindex="0">{body}</div>'


def _told(figures: Row, unit: str) -> str:
    told = [(clock(row["at_s"], "%H:%M:%S"), escape(render(row["text"], unit))) for row in happened(figures)]
    items = "".join(f"<li><time>{at}</time>{text}</li>" for at, text in told)
    return f'<ol class="columns">{items}</ol>' if items else ""


def _items(kind: str, lines: list[str]) -> str:
    items = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"<{kind}>{items}</{kind}>" if items else ""


def _section(head: str, body: str) -> str:
    return f"<h2>{head}</h2>{body}" if body else ""
