"""A run as a picture: SVG written by hand, temperatures above, air below, one time axis, deeds and alarms marked."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from .trace import Trace

WIDTH, HEIGHT = 960.0, 460.0
LEFT, RIGHT, TOP = 52.0, 28.0, 34.0
TEMPERATURES_HIGH, GAP, AIR_HIGH = 268.0, 18.0, 84.0
MOST_POINTS = 700
# Colours that stay apart for colour-blind readers (Okabe and Ito's palette, jfly.uni-koeln.de/color, from memory).
PIT, TARGET, STONE, AIR, DAMPER, ALARM = "#D55E00", "#555555", "#0072B2", "#009E73", "#999999", "#CC0000"


def draw(trace: Trace, title: str) -> str:
    """The whole picture as SVG text."""
    high_c = 20.0 * (1.0 + max(*trace.pit_c, *trace.stone_c, *trace.target_c) // 20.0)
    air_top = TOP + TEMPERATURES_HIGH + GAP
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:.0f} {HEIGHT:.0f}" font-family="sans-serif" '
        f'font-size="11"><title>{escape(title)}</title><rect width="100%" height="100%" fill="white"/>',
        f'<text x="{LEFT}" y="18" font-size="14">{escape(title)}</text>',
        *_grid(trace, high_c, air_top),
        _line(trace, trace.target_c, TOP, TEMPERATURES_HIGH, high_c, TARGET, 'stroke-dasharray="5 3"'),
        _line(trace, trace.stone_c, TOP, TEMPERATURES_HIGH, high_c, STONE),
        _line(trace, trace.pit_c, TOP, TEMPERATURES_HIGH, high_c, PIT),
        _line(trace, trace.intake, air_top, AIR_HIGH, 1.0, DAMPER),
        _line(trace, trace.blower, air_top, AIR_HIGH, 1.0, AIR),
        *_marks(trace, air_top + AIR_HIGH),
        *_legend(),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _x(trace: Trace, t_s: float) -> float:
    return LEFT + (WIDTH - LEFT - RIGHT) * t_s / trace.t_s[-1]


def _line(
    trace: Trace, column: Sequence[float], top: float, high: float, full: float, colour: str, more: str = ""
) -> str:
    points = " ".join(
        f"{_x(trace, t_s):.1f},{top + high * (1.0 - max(0.0, value) / full):.1f}"
        for t_s, value in thin(trace.t_s, column)
    )
    return f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="1.3" {more}/>'


def thin(t_s: Sequence[float], column: Sequence[float], most: int = MOST_POINTS) -> list[tuple[float, float]]:
    """At most `most` points; each bucket keeps its lowest and its highest, so that no peak is lost."""
    size = max(1, 2 * len(t_s) // most)
    points: list[tuple[float, float]] = []
    for first in range(0, len(t_s), size):
        rows = range(first, min(first + size, len(t_s)))
        kept = {min(rows, key=column.__getitem__), max(rows, key=column.__getitem__)}
        points += [(t_s[i], column[i]) for i in sorted(kept)]
    return points


def _grid(trace: Trace, high_c: float, air_top: float) -> list[str]:
    right, parts = WIDTH - RIGHT, []
    step_c = 20.0 if high_c <= 200.0 else 50.0
    for i in range(int(high_c / step_c) + 1):
        y = TOP + TEMPERATURES_HIGH * (1.0 - i * step_c / high_c)
        parts.append(f'<line x1="{LEFT}" x2="{right}" y1="{y:.1f}" y2="{y:.1f}" stroke="#e5e5e5"/>')
        parts.append(f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{i * step_c:.0f}</text>')
    for share in (0.0, 1.0):
        y = air_top + AIR_HIGH * (1.0 - share)
        parts.append(f'<line x1="{LEFT}" x2="{right}" y1="{y:.1f}" y2="{y:.1f}" stroke="#e5e5e5"/>')
        parts.append(f'<text x="{LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{share:.0%}</text>')
    for half_hour in range(int(trace.t_s[-1] / 1800.0) + 1):
        x = _x(trace, half_hour * 1800.0)
        parts.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{air_top + AIR_HIGH}" stroke="#f0f0f0"/>')
        parts.append(
            f'<text x="{x:.1f}" y="{air_top + AIR_HIGH + 14}" text-anchor="middle">{half_hour * 30} min</text>'
        )
    return parts


def _marks(trace: Trace, bottom: float) -> list[str]:
    parts = []
    for t_s, deed in trace.deeds:
        x = _x(trace, t_s)
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{bottom}" stroke="#bbbbbb" stroke-dasharray="2 3">'
        )
        parts.append(f"<title>{escape(deed)} at {t_s / 60.0:.1f} min</title></line>")
    for row, (t_s, name) in enumerate(trace.alarms):
        x, y = _x(trace, t_s), TOP + 10.0 + 12.0 * (row % 6)
        parts.append(f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP}" y2="{bottom}" stroke="{ALARM}"/>')
        anchor = "end" if x > 0.8 * WIDTH else "start"
        parts.append(f'<text x="{x:.1f}" y="{y}" fill="{ALARM}" text-anchor="{anchor}">{escape(name)}</text>')
    return parts


def _legend() -> list[str]:
    entries = (("pit degC", PIT), ("wanted", TARGET), ("stone", STONE), ("blower", AIR), ("intake", DAMPER))
    y = HEIGHT - 12.0
    return [
        f'<text x="{LEFT + 130.0 * i}" y="{y}" fill="{colour}">&#9632; {name}</text>'
        for i, (name, colour) in enumerate(entries)
    ]
