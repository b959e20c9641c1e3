"""A rehearsal's summary as text."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from emberdraft.quantities import say_difference, say_duration, say_number, say_temperature
from emberdraft.review.metrics import BAND_C
from emberdraft.review.summary import table

Row = dict[str, Any]


def rehearsal_text(summary: Row, unit: str) -> str:
    """What happened, phase by phase and piece by piece; then how fast it was simulated."""
    return "\n".join(_lines(summary, unit)) + "\n"


def _lines(summary: Row, unit: str) -> Iterator[str]:
    yield f"{summary['plan']}: a rehearsal on a simulated cooker; no real fire was burned."
    yield ""
    yield _phases(summary["phases"], unit)
    yield ""
    yield from (_piece(piece, unit) for piece in summary["pieces"])
    yield from (f"{say_duration(a['at_s'])} in: {a['id'].replace('_', ' ')}" for a in summary["alerts"])
    yield f"The stand-in person was prompted {summary['prompts']} times and forgot {summary['forgotten']}."
    yield from (f"Order refused: {text}" for text in summary["orders_refused"])
    if summary["times_real"]:
        yield f"{say_duration(summary['simulated_s'])} simulated, {say_number(summary['times_real'])} times real time."


def _phases(phases: list[Row], unit: str) -> str:
    within = f"within {say_difference(BAND_C, unit, 0 if unit == 'c' else 1)}"
    heads = ("phase", "length", "target", "to target", "most over", within, "air")
    rows = [
        (
            f"{phase['phase']} ({phase['held']})",
            say_duration(phase["duration_s"]),
            _maybe(phase["target_c"], lambda v: say_temperature(v, unit)),
            _maybe(phase["time_to_target_s"], say_duration),
            _maybe(phase["overshoot_c"], lambda v: say_difference(v, unit)),
            _maybe(phase["within_3c_share"], lambda v: f"{100.0 * v:.0f} %"),
            _maybe(phase["mean_air_share"], lambda v: f"{100.0 * v:.0f} %"),
        )
        for phase in phases
    ]
    return table(heads, rows, right=range(1, len(heads)))


def _piece(piece: Row, unit: str) -> str:
    if piece["time_to_pull_s"] is None:
        return f"{piece['letter']}, {piece['name']}: not pulled."
    told = f"{piece['letter']}, {piece['name']}: wanted {say_temperature(piece['pull_c'], unit)}"
    told += f" after {say_duration(piece['time_to_pull_s'])}"
    if piece["peak_after_pull_c"] is not None:
        told += f", rose to {say_temperature(piece['peak_after_pull_c'], unit, 1)} while it rested"
    return told + "."


def _maybe(value: Any, say: Callable[[Any], str]) -> str:
    return "-" if value is None else say(value)
