"""The report of a cook as plain text, and the list of cooks. Numbers come from `figures`, words are set here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from emberdraft.quantities import say_difference, say_duration, say_number, say_share, say_temperature
from emberdraft.review.happened import alarm_words, clock, disturbance_words, lift_words
from emberdraft.review.metrics import BAND_C
from emberdraft.review.safety import DEFER, safety_words
from emberdraft.said import render

Row = dict[str, Any]
NONE = "-"


def summary_text(figures: Row, unit: str = "c") -> str:
    """The whole report of one cook; `unit` is 'c' or 'f', times are local."""
    parts = [
        head_words(figures["cook"]),
        _phase_table(figures["phases"], unit),
        _block("Pieces", (piece_words(piece, unit) for piece in figures["pieces"])),
        _block("Safe food", safety_lines(figures["pieces"], unit)),
        _block("Lid", (_at(lift) + render(lift_words(lift), unit) for lift in figures["lid_lifts"])),
        _block("Disturbances", (_at(row) + render(disturbance_words(row), unit) for row in figures["disturbances"])),
        _block("Alarms", (_at(alarm) + alarm_words(alarm) for alarm in figures["alarms"])),
        record_words(figures["record"]),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def cooks_table(cooks: Sequence[Row]) -> str:
    """One line a cook, newest first."""
    rows = [
        (
            str(cook["id"]),
            clock(cook["start_s"], "%Y-%m-%d %H:%M"),
            "going on" if cook["end_s"] is None else say_duration(cook["end_s"] - cook["start_s"]),
            cook["cooker"],
            cook["name"] + (" (simulated)" if cook["invented"] else ""),
        )
        for cook in cooks
    ]
    if not rows:
        return "No cook has been recorded yet. `emberdraft demo` records a simulated one.\n"
    return table(("cook", "began", "lasted", "cooker", "name"), rows, right=(0, 2)) + "\n"


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], right: Iterable[int]) -> str:
    """Columns as wide as what stands in them; those in `right` are set to the right."""
    widths = [max(len(cell) for cell in column) for column in zip(heads, *rows, strict=True)]
    aligned = set(right)

    def line(cells: Sequence[str]) -> str:
        set_ = [c.rjust(w) if k in aligned else c.ljust(w) for k, (c, w) in enumerate(zip(cells, widths, strict=True))]
        return "  ".join(set_).rstrip()

    return "\n".join(line(cells) for cells in (heads, *rows))


def head_words(cook: Row) -> str:
    """Which cook it is, on what, when and how long, in lines."""
    name = f"Cook {cook['id']}: {cook['name']}, on {cook['cooker']}"
    simulated = "\nSimulated: no real fire was burned." if cook["invented"] else ""
    length = "" if cook["duration_s"] is None else f", {say_duration(cook['duration_s'])}"
    ended = "still going on" if cook["end_s"] is None or cook["how"] is None else f"ended: {cook['how']}"
    return f"{name}{simulated}\nBegan {clock(cook['start_s'], '%Y-%m-%d %H:%M')}{length}, {ended}."


def _phase_table(phases: Sequence[Row], unit: str) -> str:
    heads = phase_heads(unit)
    rows = [phase_cells(phase, unit) for phase in phases]
    return table(heads, rows, right=range(1, len(heads))) if rows else ""


def phase_heads(unit: str) -> tuple[str, ...]:
    """Heads of the table of phases."""
    within = f"within {say_difference(BAND_C, unit, 0 if unit == 'c' else 1)}"
    return ("phase", "length", "target", "to target", "most over", within, "RMS", "air", "strokes/h", "lid")


def phase_cells(phase: Row, unit: str) -> tuple[str, ...]:
    """One line of the table of phases."""
    held = f"{phase['held']} " if phase["held"] == "stone" else ""
    return (
        phase["phase"],
        _maybe(phase["duration_s"], say_duration),
        _maybe(phase["target_c"], lambda value: held + say_temperature(value, unit)),
        _maybe(phase["time_to_target_s"], say_duration),
        _over(phase, unit),
        _maybe(phase["within_3c_share"], say_share),
        _maybe(phase["rms_c"], lambda value: say_difference(value, unit)),
        _maybe(phase["mean_air_share"], say_share),
        _maybe(phase["blower_strokes_per_h"], lambda value: say_number(value, 1)),
        str(phase["lid_lifts"]),
    )


def _over(phase: Row, unit: str) -> str:
    """Most above the target; with a minus sign how far it stayed below one that it never reached."""
    far_c = phase["overshoot_c"] if phase["shortfall_c"] is None else -phase["shortfall_c"]
    return _maybe(far_c, lambda value: say_difference(value, unit))


def piece_words(piece: Row, unit: str) -> str:
    """What became of a piece, in a sentence."""
    said = f"{piece['letter']} {piece['name']}: "
    if piece["on_s"] is None:
        return said + "not put on"
    if piece["pulled_s"] is None:
        return said + f"put on {clock(piece['on_s'])}, not pulled"
    said += f"in {say_duration(piece['on_to_pull_s'])}, pulled {clock(piece['pulled_s'])}"
    if piece["pulled_c"] is not None:
        said += f" at {say_temperature(piece['pulled_c'], unit, 1)}"
    if piece["pull_c"] is not None:
        said += f" (wanted {say_temperature(piece['pull_c'], unit)})"
    if piece["peak_after_c"] is not None:
        said += f", rose to {say_temperature(piece['peak_after_c'], unit, 1)}"
    return said + "".join(_side_words(k, side, unit) for k, side in enumerate(piece["sides"], 1))


def safety_lines(pieces: Sequence[Row], unit: str) -> list[str]:
    """What the tables say of the pieces' curves, and that it is no verdict; empty where no core was measured."""
    lines = [render(line, unit) for piece in pieces for line in safety_words(piece)]
    return [*lines, DEFER] if lines else []


def _side_words(number: int, side: Row, unit: str) -> str:
    said = f"; side {number} " + _maybe(side["duration_s"], _seconds, "still on the stone")
    return said if side["stone_c"] is None else said + f" from {say_temperature(side['stone_c'], unit)}"


def record_words(record: Row) -> str:
    """How whole the record is, in a sentence."""
    count = f"{record['reading_count']:,} readings".replace(",", "\u202f")
    if not record["gaps"]:
        return f"Record: {count}, no gap."
    gaps = len(record["gaps"])
    return f"Record: {count}, {gaps} gap{'s' if gaps > 1 else ''}, {say_duration(record['missing_s'])} missing in all."


def _at(row: Row) -> str:
    return clock(row["at_s"], "%H:%M:%S") + " "


def _block(head: str, lines: Iterable[str]) -> str:
    body = "\n".join(f"  {line}" for line in lines)
    return f"{head}\n{body}" if body else ""


def _seconds(span_s: float) -> str:
    return f"{say_number(span_s)}\u00a0s"


def _maybe(value: Any, say: Any, absent: str = NONE) -> str:
    return absent if value is None else str(say(value))
