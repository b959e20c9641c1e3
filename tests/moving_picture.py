"""The moving picture of the README: a rehearsed cook drawn as an SVG that uncovers itself from left to right.

Nothing but CSS moves, so that a viewer without it, and a reader who asked for less motion, see the whole cook at once.
Colours are Okabe and Ito's, which stay apart for colour-blind readers (jfly.uni-koeln.de/color, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from pathlib import Path
from typing import Any

from emberdraft.quantities import c_to_f
from emberdraft.store.store import Store

WIDE, HIGH = 960, 470
LEFT, RIGHT = 60, 80
TOP, WARM_HIGH, AIR_TOP, AIR_HIGH = 74, 260, 352, 64
TOP_C = 300.0
LOOP_S, STILL = 20.0, 0.72  # the last part of a loop stands still, so that it can be read
EVERY_S = 20.0
PIT, STONE, FIRST, SECOND, AIR = "#0072B2", "#D55E00", "#222222", "#777777", "#009E73"
LINES = (
    ("pit_c", "pit", PIT, 'stroke-width="2.5"'),
    ("stone_c", "stone", STONE, 'stroke-width="2"'),
    ("core1_c", "chop A", FIRST, 'stroke-width="2"'),
    ("core2_c", "chop B", SECOND, 'stroke-width="2" stroke-dasharray="6 4"'),
)


@dataclass
class Cook:
    """What is drawn, a reading each EVERY_S; times from the lighting."""

    rows: list[dict[str, Any]]
    phases: list[tuple[float, str, float | None]]
    pieces: list[dict[str, Any]]

    @property
    def end_s(self) -> float:
        """Where the time axis ends, s."""
        return float(self.rows[-1]["at_s"])


def cook_of(record: Path) -> Cook:
    """The only cook of a record, its times counted from the lighting."""
    with Store(record) as store:
        (cook,) = store.cooks()
        phases, pieces = store.phases(cook["id"]), store.pieces(cook["id"])
        lit_s = phases[0]["at_s"]
        columns = store.readings(cook["id"], lit_s, None, ("at_s", "duty", *(line[0] for line in LINES)))
    shown, next_s = [], 0.0
    for at_s, *values in zip(*columns.values(), strict=True):
        if at_s - lit_s >= next_s:
            shown.append(dict(zip(columns, [at_s - lit_s, *values], strict=True)))
            next_s += EVERY_S
    return Cook(
        shown,
        [(row["at_s"] - lit_s, row["phase"], row["target_c"]) for row in phases],
        [{**row, "on_s": row["on_s"] - lit_s, "pulled_s": row["pulled_s"] - lit_s} for row in pieces],
    )


def both(value_c: float) -> str:
    """A temperature in both units."""
    return f"{value_c:.0f} °C ({c_to_f(value_c):.0f} °F)"


def captions(cook: Cook) -> list[tuple[float, str]]:
    """When each sentence begins, and the sentence."""
    at = {phase: (at_s, target_c) for at_s, phase, target_c in cook.phases}
    pull = max(cook.pieces, key=lambda piece: piece["pulled_s"])
    in_min = (pull["pulled_s"] - pull["on_s"]) / 60.0
    return [
        (0.0, f"Light: all air, then none. The pit coasts to {both(at['light'][1])}."),
        (at["slow"][0], f"Hold: two chops come up slowly at {both(at['slow'][1])}."),
        (
            min(piece["pulled_s"] for piece in cook.pieces) - 300.0,
            f"Pull: {both(pull['pull_c'])} inside, after {in_min:.0f} minutes. Chops rest.",
        ),
        (at["climb"][0], f"Climb: vents open, all air, the stone goes to {both(at['climb'][1])}."),
        (at["sear"][0], "Sear: each side on the hot stone, which gets its heat back in between."),
        (at["bank"][0], "Bank: air shut, fire out. All of it is in the record."),
    ]


def draw(cook: Cook) -> str:
    """The picture as SVG text."""
    spoken = captions(cook)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" font-family="sans-serif" font-size="13">',
        "<title>A simulated cook: pit, stone, two chops and the air, from lighting to the end</title>",
        f"<style>{_style(cook, spoken)}</style>",
        '<rect width="100%" height="100%" rx="8" fill="#ffffff"/>',
        *_bands(cook),
        *(_line(cook, *line) for line in LINES),
        _air(cook),
        *_cover(),
        *_grid(cook),
        *_spoken(spoken),
        f'<text x="{WIDE - 12}" y="20" text-anchor="end" fill="#777777">simulated; no real fire was burned</text>',
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _x(cook: Cook, t_s: float) -> int:
    return round(LEFT + (WIDE - LEFT - RIGHT) * t_s / cook.end_s)


def _y(value_c: float) -> int:
    return round(TOP + WARM_HIGH * (1.0 - value_c / TOP_C))


def _style(cook: Cook, spoken: Sequence[tuple[float, str]]) -> str:
    """One loop: the cover goes to the right in step with the cook, and each sentence is seen in its time."""
    far = WIDE - LEFT - RIGHT
    rules = [
        f"#cover{{transform:translateX({far + 2}px);animation:go {LOOP_S:g}s linear infinite}}",
        f"@keyframes go{{0%{{transform:translateX(0)}}{100 * STILL:g}%,100%{{transform:translateX({far + 2}px)}}}}",
        "#says text{opacity:0}#says text:last-child{opacity:1}",
    ]
    begins = [100.0 * STILL * at_s / cook.end_s for at_s, _ in spoken] + [100.0]
    for k, (begin, end) in enumerate(pairwise(begins)):
        shown = f"{begin:.2f}%,{end - 0.01:.2f}%{{opacity:1}}"
        before = f"0%,{begin - 0.01:.2f}%{{opacity:0}}" if k else ""
        after = "" if end == 100.0 else f"{end:.2f}%,100%{{opacity:0}}"
        rules.append(f"#s{k}{{animation:s{k} {LOOP_S:g}s linear infinite}}@keyframes s{k}{{{before}{shown}{after}}}")
    rules.append("@media(prefers-reduced-motion:reduce){#cover,#says text{animation:none}}")
    return "".join(rules)


def _bands(cook: Cook) -> list[str]:
    """Every second phase has a grey ground."""
    ends = [at_s for at_s, *_ in cook.phases[1:]] + [cook.end_s]
    places = [(_x(cook, at_s), _x(cook, end_s)) for (at_s, *_), end_s in zip(cook.phases, ends, strict=True)]
    return [
        f'<rect x="{left}" y="{TOP}" width="{right - left}" height="{WARM_HIGH}" fill="#f2f2f2"/>'
        for left, right in places[::2]
    ]


def _grid(cook: Cook) -> list[str]:
    """Temperatures at the left in both units, hours below, the phases' names above."""
    parts = [f'<text x="{LEFT - 6}" y="{AIR_TOP + 14}" text-anchor="end" fill="{AIR}">air</text>']
    ends = [at_s for at_s, *_ in cook.phases[1:]] + [cook.end_s]
    for (at_s, phase, _), end_s in zip(cook.phases, ends, strict=True):
        x = _x(cook, 0.5 * (at_s + end_s))
        parts.append(f'<text x="{x}" y="{TOP - 6}" text-anchor="middle" fill="#777777">{phase}</text>')
    for value_c in (0.0, 100.0, 200.0, 300.0):
        y = _y(value_c)
        parts.append(f'<path d="M{LEFT} {y}H{WIDE - RIGHT}" stroke="#dddddd"/>')
        parts.append(f'<text x="{LEFT - 6}" y="{y}" text-anchor="end">{value_c:.0f} °C</text>')
        parts.append(
            f'<text x="{LEFT - 6}" y="{y + 14}" text-anchor="end" fill="#777777">{c_to_f(value_c):.0f} °F</text>'
        )
    for hour in range(int(cook.end_s / 3600.0) + 1):
        parts.append(f'<text x="{_x(cook, 3600.0 * hour)}" y="{HIGH - 30}" text-anchor="middle">{hour} h</text>')
    return parts


def _line(cook: Cook, column: str, name: str, colour: str, more: str) -> str:
    """A trace and its name at its end; of a chop only what is measured in the meat, from the grate to the sear."""
    begin_s, end_s = 0.0, cook.end_s
    if column.startswith("core"):
        begin_s = min(piece["on_s"] for piece in cook.pieces)
        end_s = next(at_s for at_s, phase, _ in cook.phases if phase == "sear")
    shown = [(row["at_s"], row[column]) for row in cook.rows if begin_s <= row["at_s"] <= end_s]
    points = " ".join(f"{_x(cook, at_s)},{_y(value)}" for at_s, value in shown)
    lift = {"chop A": -6, "chop B": 12}.get(name, 4)
    place = f'x="{_x(cook, end_s) + 6}" y="{_y(shown[-1][1]) + lift}"'
    return (
        f'<polyline points="{points}" fill="none" stroke="{colour}" {more}/><text {place} fill="{colour}">{name}</text>'
    )


def _air(cook: Cook) -> str:
    foot = AIR_TOP + AIR_HIGH
    points = " ".join(f"{_x(cook, row['at_s'])},{round(foot - AIR_HIGH * row['duty'])}" for row in cook.rows)
    edge = f"{LEFT},{foot} {points} {_x(cook, cook.end_s)},{foot}"
    label = f'<text x="{WIDE - RIGHT + 6}" y="{foot - 4}" fill="{AIR}">blower</text>'
    return f'<polygon points="{edge}" fill="{AIR}" fill-opacity="0.7"/>{label}'


def _cover() -> list[str]:
    """What is yet to come: white, with the line of now as its left edge; cut off at the right end of the axis."""
    wide, high = WIDE - LEFT - RIGHT, AIR_TOP + AIR_HIGH - TOP
    return [
        f'<svg x="{LEFT}" y="{TOP}" width="{wide}" height="{high}">',
        f'<g id="cover"><rect width="{wide + 2}" height="{high}" fill="#ffffff"/>',
        f'<path d="M0 0V{high}" stroke="#222222" stroke-width="3"/></g></svg>',
    ]


def _spoken(spoken: Sequence[tuple[float, str]]) -> list[str]:
    lines = [f'<text id="s{k}" x="{LEFT}" y="46">{escape(text)}</text>' for k, (_, text) in enumerate(spoken)]
    return ['<g id="says" font-size="20" fill="#222222">', *lines, "</g>"]
