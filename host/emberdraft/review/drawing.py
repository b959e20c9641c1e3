"""The strip of a whole cook as SVG: phases, temperatures, marks and air over one time axis.

Colour says what kind of thing a line is, its stroke which one. The colours are variables of the page around it, so
that one picture serves light and dark and print.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from html import escape
from typing import Any

from emberdraft.quantities import c_to_f
from emberdraft.review import canvas
from emberdraft.review.canvas import TimeScale, ValueScale
from emberdraft.review.happened import clock
from emberdraft.review.metrics import BAND_C

Row = dict[str, Any]
DASHES = ("", "7 4", "2 4 7 4", "2 3")


def strip_svg(columns: dict[str, list[Any]], figures: Row, told: list[Row], unit: str) -> str:
    """The picture. `columns` are the store's strip, `told` the numbered happenings; `unit` is 'c' or 'f'."""
    shown = c_to_f if unit == "f" else float
    time = TimeScale(figures["cook"]["start_s"], _end_s(columns, figures["cook"]))
    warm = canvas.temperature_scale(_highest(columns, figures, shown))
    air = ValueScale(0.0, 1.0, canvas.AIR)
    parts = [
        *_lids(figures, time),
        *_phases(figures, time, unit),
        *_wanted(figures, time, warm, shown),
        *_grid(time, warm, unit),
        *_air(columns, figures, time, air),
        *_temperatures(columns, figures, time, warm, shown),
        *_numbers(told, time),
    ]
    head = f'<svg viewBox="0 0 {canvas.WIDTH:.0f} {canvas.HEIGHT:.0f}" role="img" aria-labelledby="strip-said">'
    return f'{head}<title id="strip-said">{escape(_said(figures))}</title>{"".join(parts)}</svg>'


def pieces_with_probe(figures: Row) -> list[tuple[str, Row]]:
    """Column and figures of each piece that has a probe."""
    return [(f"core{piece['probe'] + 1}_c", piece) for piece in figures["pieces"] if piece["probe"] in range(4)]


def piece_times(columns: dict[str, list[Any]], name: str, piece: Row) -> list[Any]:
    """A core's values while the probe is in its piece: before and after it shows the air."""
    if piece["on_s"] is None:
        return [None] * len(columns["t"])
    out_s = piece["probe_out_s"] if piece["probe_out_s"] is not None else piece["pulled_s"]
    # A thinned point may hold the lowest or highest of a moment later than its own: none that touches the end.
    until_s = float("inf") if out_s is None else out_s - _point_s(columns)
    pairs = zip(columns["t"], columns[name], strict=True)
    return [value if piece["on_s"] <= at_s < until_s else None for at_s, value in pairs]


def _point_s(columns: dict[str, list[Any]]) -> float:
    """Length of the bucket that a point of the strip stands for."""
    times = columns["t"]
    return 0.0 if len(times) < 3 else float(times[2] - times[0])


def _said(figures: Row) -> str:
    names = ", ".join(phase["phase"] for phase in figures["phases"])
    return f"Temperatures, air and marks of {figures['cook']['name']} over time; phases: {names or 'none'}"


def _end_s(columns: dict[str, list[Any]], cook: Row) -> float:
    last_s = max(columns["t"], default=cook["start_s"])
    return float(last_s if cook["end_s"] is None else cook["end_s"])


def _highest(columns: dict[str, list[Any]], figures: Row, shown: Callable[[float], float]) -> float:
    values = [value for name in ("pit_c", "stone_c") for value in columns[name] if value is not None]
    targets = [phase["target_c"] for phase in figures["phases"] if phase["target_c"] is not None]
    return shown(max([*values, *targets], default=100.0))


def _span(phase: Row, time: TimeScale) -> tuple[float, float]:
    end_s = time.end_s if phase["duration_s"] is None else phase["start_s"] + phase["duration_s"]
    return time.x(phase["start_s"]), time.x(end_s)


def _phases(figures: Row, time: TimeScale, unit: str) -> Iterator[str]:
    top, bottom = canvas.PHASES
    for phase in figures["phases"]:
        left, right = _span(phase, time)
        shown = phase["target_c"]
        degrees = "" if shown is None else f" {c_to_f(shown) if unit == 'f' else shown:.0f}°"
        width = max(right - left - 1.5, 0.5)
        yield f'<rect class="phase" x="{left:.1f}" y="{top}" width="{width:.1f}" height="{bottom}"/>'
        said = phase["phase"] + degrees if right - left > 75.0 else phase["phase"] if right - left > 38.0 else ""
        if said:
            yield f'<text class="on-phase" x="{left + 6.0:.1f}" y="{bottom - 9.0}">{escape(said)}</text>'


def _wanted(figures: Row, time: TimeScale, warm: ValueScale, shown: Callable[[float], float]) -> Iterator[str]:
    """What is wanted is a band, never a line."""
    for phase in figures["phases"]:
        if phase["target_c"] is None or phase["held"] is None:
            continue
        left, right = _span(phase, time)
        high, low = (warm.y(shown(phase["target_c"] + side * BAND_C)) for side in (1.0, -1.0))
        yield (
            f'<rect class="wanted-{phase["held"]}" x="{left:.1f}" y="{high:.1f}" '
            f'width="{right - left:.1f}" height="{max(low - high, 2.0):.1f}"/>'
        )


def _lids(figures: Row, time: TimeScale) -> Iterator[str]:
    top, bottom = canvas.TEMPERATURES[0], canvas.MARKS[0]
    for lift in figures["lid_lifts"]:
        left = time.x(lift["at_s"])
        right = time.x(time.end_s if lift["open_s"] is None else lift["at_s"] + lift["open_s"])
        width = max(right - left, 2.0)
        yield f'<rect class="lid" x="{left:.1f}" y="{top}" width="{width:.1f}" height="{bottom - top}"/>'
        yield f'<rect class="lid-bar" x="{left:.1f}" y="{bottom - 4.0}" width="{width:.1f}" height="4"/>'


def _grid(time: TimeScale, warm: ValueScale, unit: str) -> Iterator[str]:
    left, right = canvas.LEFT, canvas.WIDTH - canvas.RIGHT
    for value in canvas.temperature_ticks(warm):
        y = warm.y(value)
        yield f'<path class="rule" d="M{left} {y:.1f}H{right}"/>'
        sign = f" °{unit.upper()}" if value == warm.high else ""
        yield f'<text class="axis end" x="{left - 8.0}" y="{y + 4.0:.1f}">{value:.0f}{sign}</text>'
    for at_s in time.ticks():
        x = time.x(at_s)
        yield f'<path class="rule" d="M{x:.1f} {canvas.TEMPERATURES[0]}V{canvas.AIR[1]}"/>'
        yield f'<text class="axis middle" x="{x:.1f}" y="{canvas.HEIGHT - 8.0}">{clock(at_s)}</text>'
    for share in (0.0, 1.0):
        y = canvas.AIR[1] - share * (canvas.AIR[1] - canvas.AIR[0])
        words = "100" if share else "0 %"
        yield f'<text class="axis end" x="{left - 8.0}" y="{y + 4.0:.1f}">{words}</text>'


def _air(columns: dict[str, list[Any]], figures: Row, time: TimeScale, air: ValueScale) -> Iterator[str]:
    points = _points(columns, "duty", time, air, float)
    for run in _runs(points):
        outline = canvas.path(run)
        yield f'<path class="blower-fill" d="{outline}V{canvas.AIR[1]}H{run[0][0]:.1f}Z"/>'
        yield f'<path class="blower" d="{outline}"/>'
    yield f'<path class="damper" d="{canvas.path(_points(columns, "opening", time, air, float))}"/>'
    for kind in ("vent_top", "vent_bottom"):
        set_by_hand = [mark for mark in figures["marks"] if mark["kind"] == kind and mark["value"] is not None]
        changes = [(time.x(mark["at_s"]), air.y(mark["value"])) for mark in set_by_hand]
        yield f'<path class="{kind}" d="{canvas.steps(changes, time.x(time.end_s))}"/>'
    yield f'<text class="air" x="{canvas.WIDTH - canvas.RIGHT + 8.0}" y="{canvas.AIR[1] - 4.0}">blower</text>'


def _temperatures(
    columns: dict[str, list[Any]], figures: Row, time: TimeScale, warm: ValueScale, shown: Callable[[float], float]
) -> Iterator[str]:
    lines = [("stone", "stone", "", columns["stone_c"]), ("pit", "pit", "", columns["pit_c"])]
    for k, (name, piece) in enumerate(pieces_with_probe(figures)):
        words = f"{piece['letter']} {piece['name']}"
        lines.append(("piece", words, DASHES[k % len(DASHES)], piece_times(columns, name, piece)))
    ends: list[tuple[str, str, float]] = []
    for kind, words, dashes, values in lines:
        points = _points({**columns, "of_line": values}, "of_line", time, warm, shown)
        present = [y for _, y in points if y is not None]
        if present:
            yield f'<path class="{kind}" stroke-dasharray="{dashes or "none"}" d="{canvas.path(points)}"/>'
            ends.append((kind, words, present[-1]))
    at_y = canvas.apart([y for _, _, y in ends], 16.0, canvas.TEMPERATURES[0] + 8.0, canvas.TEMPERATURES[1])
    for (kind, words, _), y in zip(ends, at_y, strict=True):
        short = words if len(words) <= 14 else words[:13] + "…"
        yield f'<text class="{kind}" x="{canvas.WIDTH - canvas.RIGHT + 8.0}" y="{y + 4.0:.1f}">{escape(short)}</text>'


def _numbers(told: list[Row], time: TimeScale) -> Iterator[str]:
    """Numbers on the marks' lane, as in the list beside, with a stem to the true moment."""
    true = [time.x(row["at_s"]) for row in told]
    places = canvas.apart(true, 19.0, canvas.LEFT, canvas.WIDTH - canvas.RIGHT)
    top, bottom = canvas.MARKS
    for number, (row, at, x) in enumerate(zip(told, true, places, strict=True), 1):
        shape = f'<circle cx="{x:.1f}" cy="{bottom - 9.0}" r="9"/>'
        if row["kind"] == "alarm":
            shape = f'<rect x="{x - 9.0:.1f}" y="{bottom - 18.0}" width="18" height="18"/>'
        stem = f'<path d="M{at:.1f} {top}L{x:.1f} {bottom - 18.0}"/>'
        yield f'<g class="told {row["kind"]}">{stem}{shape}<text x="{x:.1f}" y="{bottom - 5.0}">{number}</text></g>'


def _points(
    columns: dict[str, list[Any]], name: str, time: TimeScale, scale: ValueScale, shown: Callable[[float], float]
) -> list[tuple[float, float | None]]:
    pairs = zip(columns["t"], columns[name], strict=True)
    return [(time.x(at_s), None if value is None else scale.y(shown(value))) for at_s, value in pairs]


def _runs(points: list[tuple[float, float | None]]) -> Iterator[list[tuple[float, float]]]:
    """Stretches without a gap."""
    run: list[tuple[float, float]] = []
    for x, y in points:
        if y is not None:
            run.append((x, y))
        elif run:
            yield run
            run = []
    if run:
        yield run
