"""The cores of a trial's pieces, cook by cook, each from its own going on: what the measures were read from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import Any

from emberdraft.trials.measures import Record

Row = dict[str, Any]
MOST_POINTS = 160
DASHES = ("", "7 4", "2 3", "10 3 2 3", "1 4", "12 5")  # one for each treatment; six are the most there can be
WIDE, HIGH, LEFT, RIGHT, TOP, LOW = 760.0, 240.0, 44.0, 64.0, 10.0, 26.0
APART_PX = 14.0


def curves_of(record: Record, answer: Row) -> list[Row]:
    """A row a cook: `cook`, `to_c`, and `pieces` with name, letter, treatment, `minutes` and `core_c`, thinned."""
    order = {t["id"]: k for k, t in enumerate(answer["trial"]["treatments"])}
    made = []
    for cook in answer["cooks"]:
        own = [p for p in answer["trial"]["pieces"] if p["cook_id"] == cook["id"]]
        columns = record.readings(cook["id"], names=("at_s", "core1_c", "core2_c", "core3_c", "core4_c"))
        rows = {row["letter"]: row for row in record.pieces(cook["id"])}
        drawn = [
            {"name": p["name"], "letter": p["letter"], "treatment": order[p["treatment_id"]], **curve}
            for p in own
            if p["treatment_id"] in order and p["letter"] in rows and (curve := _curve(columns, rows[p["letter"]]))
        ]
        if drawn:
            made.append({"cook": cook["id"], "to_c": answer["to_c"], "pieces": drawn})
    return made


def _curve(columns: Row, row: Row) -> Row:
    """Minutes since going on and degC until it was pulled; {} when there is nothing of it."""
    if row["probe"] is None or row["on_s"] is None:
        return {}
    end_s = float("inf") if row["pulled_s"] is None else row["pulled_s"]
    both = zip(columns["at_s"], columns[f"core{row['probe'] + 1}_c"], strict=True)
    points = [(at - row["on_s"], c) for at, c in both if c is not None and c == c and row["on_s"] <= at <= end_s]
    step = max(1, len(points) // MOST_POINTS)
    kept = points[::step]
    return {"minutes": [s / 60.0 for s, _ in kept], "core_c": [c for _, c in kept]} if len(kept) > 1 else {}


def legend(treatments: Sequence[Row]) -> str:
    """Which line is which treatment."""
    words = ("drawn through", "dashed", "dotted", "dash and dot", "wide dots", "long dashes")
    return "; ".join(f"{t['name']}: {word}" for t, word in zip(treatments, words, strict=False))


def curves_svg(cook: Row) -> str:
    """One cook as SVG: degC of each core over minutes since that piece went on."""
    most_min = max(piece["minutes"][-1] for piece in cook["pieces"]) or 1.0
    values = [c for piece in cook["pieces"] for c in piece["core_c"]] + ([cook["to_c"]] if cook["to_c"] else [])
    low_c, high_c = min(values), max(values) + 1.0
    x = lambda minute: LEFT + (WIDE - LEFT - RIGHT) * minute / most_min  # noqa: E731
    y = lambda temp_c: TOP + (HIGH - TOP - LOW) * (high_c - temp_c) / (high_c - low_c)  # noqa: E731
    lines = "".join(_line(piece, x, y) for piece in cook["pieces"])
    axes, names = "".join(_axes(cook["to_c"], most_min, low_c, high_c, x, y)), "".join(_names(cook["pieces"], y))
    label = f"Core temperatures in cook {cook['cook']}, piece by piece"
    return (
        f'<svg class="curves" viewBox="0 0 {WIDE:.0f} {HIGH:.0f}" role="img" aria-label="{escape(label)}">'
        f"{axes}{lines}{names}</svg>"
    )


def _line(piece: Row, x: Any, y: Any) -> str:
    points = " ".join(f"{x(m):.1f},{y(c):.1f}" for m, c in zip(piece["minutes"], piece["core_c"], strict=True))
    return f'<polyline class="core" stroke-dasharray="{DASHES[piece["treatment"]]}" points="{points}"/>'


def _axes(to_c: float | None, most_min: float, low_c: float, high_c: float, x: Any, y: Any) -> Iterator[str]:
    for minute in range(0, int(most_min) + 1, 10 if most_min > 30.0 else 5):
        yield f'<text class="axis middle" x="{x(minute):.1f}" y="{HIGH - 6.0:.0f}">{minute}</text>'
    for temp_c in range(10 * int(low_c // 10.0) + 10, int(high_c) + 1, 10):
        yield f'<text class="axis end" x="{LEFT - 6.0:.0f}" y="{y(temp_c) + 4.0:.1f}">{temp_c}</text>'
    if to_c is not None:
        yield f'<path class="rule" d="M{LEFT:.0f} {y(to_c):.1f}H{WIDE - RIGHT:.0f}"/>'


def _names(pieces: Sequence[Row], y: Any) -> Iterator[str]:
    """Beside the picture, the first to be pulled on top, none on another."""
    top = y(max(piece["core_c"][-1] for piece in pieces)) + 4.0
    for k, piece in enumerate(sorted(pieces, key=lambda p: p["minutes"][-1])):
        yield f'<text x="{WIDE - RIGHT + 6.0:.0f}" y="{top + APART_PX * k:.1f}">{escape(piece["name"])}</text>'
