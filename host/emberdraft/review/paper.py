"""The report as a picture or a page to print, by matplotlib, which is an extra and is imported only here."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from emberdraft.errors import UserError
from emberdraft.quantities import c_to_f
from emberdraft.review.drawing import piece_times, pieces_with_probe
from emberdraft.review.metrics import BAND_C
from emberdraft.review.summary import summary_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Row = dict[str, Any]
Columns = dict[str, list[Any]]

_COLOURS = {
    "pit": "#005fa8",
    "stone": "#b63d00",
    "ink": "#14191c",
    "quiet": "#4b555b",
    "air": "#00725a",
    "wash": "#e6eae7",
}
_BANDS = {"pit": "#d6e7f5", "stone": "#f7dfd2"}
_STYLES = ("-", (0, (7, 4)), (0, (2, 4, 7, 4)), (0, (2, 3)))


def save(path: Path, columns: Columns, figures: Row, unit: str) -> None:
    """Write a png or a pdf, as the name's ending says; the same cook gives the same bytes."""
    figure = draw(columns, figures, unit)
    dateless = {"pdf": {"CreationDate": None, "ModDate": None, "Producer": None}, "png": {"Software": None}}
    figure.savefig(path, dpi=150, metadata=dateless[path.suffix.lower().lstrip(".")])


def draw(columns: Columns, figures: Row, unit: str) -> Figure:
    """Temperatures over air on one time axis, and the figures in words below."""
    try:
        from matplotlib.figure import Figure
    except ImportError:
        raise UserError(
            "png and pdf need matplotlib, which is not installed: pip install matplotlib; html needs nothing"
        ) from None
    words = summary_text(figures, unit).replace("\u202f", "\u00a0")
    lines = words.count("\n") + 1
    figure = Figure(figsize=(11.0, 7.0 + 0.17 * lines), layout=None)
    top = 1.0 - 7.0 / (7.0 + 0.17 * lines)
    warm = figure.add_axes((0.07, top + 0.33 * (1.0 - top), 0.77, 0.61 * (1.0 - top)))
    air = figure.add_axes((0.07, top + 0.08 * (1.0 - top), 0.77, 0.21 * (1.0 - top)), sharex=warm)
    times = [_moment(at_s) for at_s in columns["t"]]
    _temperatures(warm, times, columns, figures, unit)
    _air(air, times, columns, figures)
    _lids((warm, air), figures, times)
    figure.text(0.07, top - 0.01, words, va="top", family="monospace", size=8, color=_COLOURS["ink"])
    return figure


def _temperatures(axes: Axes, times: list[Any], columns: Columns, figures: Row, unit: str) -> None:
    def shown(values: list[Any]) -> list[float]:
        told = [None if value is None else c_to_f(value) if unit == "f" else value for value in values]
        return [float("nan") if value is None else value for value in told]

    for phase in figures["phases"]:
        _wanted(axes, phase, figures, shown)
    axes.plot(times, shown(columns["stone_c"]), color=_COLOURS["stone"], linewidth=1.4, label="stone")
    axes.plot(times, shown(columns["pit_c"]), color=_COLOURS["pit"], linewidth=1.8, label="pit")
    for k, (name, piece) in enumerate(pieces_with_probe(figures)):
        values = shown(piece_times(columns, name, piece))
        words = f"{piece['letter']} {piece['name']}"
        axes.plot(times, values, color=_COLOURS["ink"], linewidth=1.2, linestyle=_STYLES[k % 4], label=words)
    axes.set_ylim(bottom=0.0)
    axes.set_ylabel(f"°{unit.upper()}")
    axes.tick_params(labelbottom=False)
    _plain(axes)


def _wanted(axes: Axes, phase: Row, figures: Row, shown: Any) -> None:
    """The wanted band of a phase, and its name above."""
    start = _moment(phase["start_s"])
    axes.annotate(phase["phase"], (start, 1.01), xycoords=("data", "axes fraction"), size=8, color=_COLOURS["quiet"])
    axes.axvline(start, color=_COLOURS["wash"], linewidth=0.8)
    if phase["held"] is None or phase["target_c"] is None or phase["duration_s"] is None:
        return
    end = _moment(phase["start_s"] + phase["duration_s"])
    low, high = shown([phase["target_c"] - BAND_C, phase["target_c"] + BAND_C])
    axes.fill_between([start, end], [low, low], [high, high], color=_BANDS[phase["held"]], linewidth=0.0)


def _air(axes: Axes, times: list[Any], columns: Columns, figures: Row) -> None:
    def percent(name: str) -> list[float]:
        return [float("nan") if value is None else 100.0 * value for value in columns[name]]

    axes.fill_between(times, percent("duty"), color="#a9d6c8", linewidth=0.0)
    axes.plot(times, percent("duty"), color=_COLOURS["air"], linewidth=0.8, label="blower")
    axes.plot(times, percent("opening"), color=_COLOURS["air"], linewidth=1.4, label="damper")
    for kind, words, style in (("vent_top", "top vent", "-."), ("vent_bottom", "bottom vent", ":")):
        own = [mark for mark in figures["marks"] if mark["kind"] == kind and mark["value"] is not None]
        if own and times:
            at = [_moment(mark["at_s"]) for mark in own] + [times[-1]]
            values = [100.0 * mark["value"] for mark in own]
            axes.step(at, [*values, values[-1]], where="post", color=_COLOURS["quiet"], linestyle=style, label=words)
    axes.set_ylim(0.0, 104.0)
    axes.set_ylabel("%")
    _plain(axes)
    _clock(axes)


def _lids(both: tuple[Axes, ...], figures: Row, times: list[Any]) -> None:
    for lift in figures["lid_lifts"]:
        end = times[-1] if lift["open_s"] is None else _moment(lift["at_s"] + lift["open_s"])
        for axes in both:
            axes.axvspan(_moment(lift["at_s"]), end, color=_COLOURS["wash"], linewidth=0.0, zorder=0.5)


def _plain(axes: Axes) -> None:
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(color=_COLOURS["wash"], linewidth=0.6)
    axes.set_axisbelow(True)
    axes.legend(loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=8)


def _moment(at_s: float) -> float:
    """matplotlib counts days from 1970."""
    return at_s / 86400.0


def _clock(axes: Axes) -> None:
    """Local clock times below the lower axis, at round moments."""
    from matplotlib.dates import AutoDateLocator, DateFormatter

    zone = datetime.datetime.now().astimezone().tzinfo
    axes.xaxis.set_major_locator(AutoDateLocator(tz=zone, maxticks=12))  # type: ignore[no-untyped-call]
    axes.xaxis.set_major_formatter(DateFormatter("%H:%M", tz=zone))  # type: ignore[no-untyped-call]
