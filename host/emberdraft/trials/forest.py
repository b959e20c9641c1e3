"""The picture of a measure: each pair's difference with what probes leave open, and the mean with its interval."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Any

Row = dict[str, Any]
WIDE, LEFT, RIGHT, STEP = 760.0, 230.0, 24.0, 28.0


def reach_of(contrast: Row) -> float:
    """The largest distance from 0 that must be drawn."""
    ends = [abs(pair["difference"]) + 2.0 * pair["doubt"] for pair in contrast["pairs"]]
    ends += [abs(contrast[key]) for key in ("low", "high") if contrast[key] is not None]
    return max(ends, default=0.0) or 1.0


def forest_svg(contrast: Row, unit: str) -> str:
    """One contrast as SVG; its classes take the page's colours."""
    reach = 1.05 * reach_of(contrast)
    rows = list(_rows(contrast, reach))
    high = STEP * (len(rows) + 1) + 24.0
    middle = _x(0.0, reach)
    label = f"Differences of {contrast['of']} less {contrast['less']} in {unit}, block by block"
    ticks = "".join(
        f'<text class="axis {place}" x="{_x(value, reach):.0f}" y="{high - 6.0:.0f}">{_said(value)}</text>'
        for value, place in ((-reach / 1.05, "middle"), (0.0, "middle"), (reach / 1.05, "end"))
    )
    zero = f'<path class="rule" d="M{middle:.0f} 4V{high - 22.0:.0f}"/>'
    body = "".join(
        f'<g class="{kind}"><text x="0" y="{y + 5.0:.0f}">{escape(name)}</text>{shape}</g>'
        for name, kind, y, shape in rows
    )
    return (
        f'<svg class="forest" viewBox="0 0 {WIDE:.0f} {high:.0f}" role="img" aria-label="{escape(label)}">'
        f"{zero}{body}{ticks}</svg>"
    )


def _rows(contrast: Row, reach: float) -> Iterator[tuple[str, str, float, str]]:
    for k, pair in enumerate(contrast["pairs"]):
        y, doubt = STEP * (k + 0.7), 2.0 * pair["doubt"]
        bar = _bar(pair["difference"] - doubt, pair["difference"] + doubt, y, reach)
        dot = f'<circle cx="{_x(pair["difference"], reach):.1f}" cy="{y:.1f}" r="5"/>'
        yield pair["block"], "pair", y, bar + dot
    if contrast["low"] is not None:
        y = STEP * (len(contrast["pairs"]) + 0.7)
        x, low, high = (_x(contrast[key], reach) for key in ("mean", "low", "high"))
        shape = (
            f'<path class="mean" d="M{low:.1f} {y:.1f}L{x:.1f} {y - 7:.1f}L{high:.1f} {y:.1f}L{x:.1f} {y + 7:.1f}z"/>'
        )
        yield "mean, 95\u00a0% interval", "all", y, shape


def _bar(low: float, high: float, y: float, reach: float) -> str:
    return f'<path class="bar" d="M{_x(low, reach):.1f} {y:.1f}H{_x(high, reach):.1f}"/>'


def _x(value: float, reach: float) -> float:
    return LEFT + (value / reach + 1.0) / 2.0 * (WIDE - LEFT - RIGHT)


def _said(value: float) -> str:
    return f"{value:+.2g}".replace("-", "\u2212") if value else "0"
