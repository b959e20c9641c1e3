"""Figures of a piece."""

from __future__ import annotations

from typing import Any

from emberdraft.review.pieces import piece_figures
from tests.review.making import START_S, columns, line


def _piece(**changes: Any) -> dict[str, Any]:
    row = {"letter": "A", "name": "chop", "probe": 0, "pull_c": 57.0, "rest_c": 63.0}
    return row | {"on_s": START_S + 100, "pulled_s": START_S + 520} | changes


# On at 100 s with 17 degC, a tenth of a degree a second: 57 at 500 s, 59 when pulled at 520, then to 62 and down.
CORE = [*[None] * 100, *line(17.0, 59.0, 420), *line(59.0, 62.0, 60), *line(62.0, 55.0, 100)]


def test_from_on_to_pull() -> None:
    figures = piece_figures(columns([120.0] * len(CORE), core1_c=CORE), _piece())
    assert figures["on_to_pull_s"] == 420.0
    assert round(figures["pulled_c"], 6) == 59.0
    assert round(figures["pulled_over_c"], 6) == 2.0
    assert figures["waited_s"] == 20.0
    assert round(figures["peak_after_c"], 6) == 62.0


def test_the_peak_ends_where_the_probe_was_drawn_out() -> None:
    # 70 s after the pull, past the peak of 62, the probe lies in the pit at 115 degC.
    core = [*CORE[:590], *[115.0] * 100]
    figures = piece_figures(columns([120.0] * len(core), core1_c=core), _piece())
    assert round(figures["peak_after_c"], 6) == 62.0


def test_a_pull_noted_after_the_probe_was_drawn_out_gives_the_core_before() -> None:
    # Lifted at 500 s with 57 degC, the probe then in the kitchen's air; noted at 520.
    core = [*CORE[:501], 56.6, 55.5, *[21.0] * 200]
    figures = piece_figures(columns([120.0] * len(core), core1_c=core), _piece())
    assert round(figures["pulled_c"], 6) == 57.0
    assert figures["peak_after_c"] is None, "nobody measured the rest"


def test_less_than_a_minute_of_rest_has_no_peak() -> None:
    core = [*CORE[:540], *[21.0] * 100]
    assert piece_figures(columns([120.0] * len(core), core1_c=core), _piece())["peak_after_c"] is None


def test_a_piece_without_a_probe_has_its_times_only() -> None:
    figures = piece_figures(columns([120.0] * 600), _piece(probe=None))
    assert figures["on_to_pull_s"] == 420.0
    assert figures["pulled_c"] is None and figures["peak_after_c"] is None and figures["waited_s"] is None


def test_a_piece_not_yet_pulled() -> None:
    figures = piece_figures(columns([120.0] * len(CORE), core1_c=CORE), _piece(pulled_s=None))
    assert figures["on_to_pull_s"] is None and figures["pulled_c"] is None and figures["peak_after_c"] is None


def test_a_probe_silent_at_the_pull_gives_no_temperature() -> None:
    core = [*CORE[:390], *[None] * 300]
    figures = piece_figures(columns([120.0] * len(core), core1_c=core), _piece())
    assert figures["pulled_c"] is None and figures["pulled_over_c"] is None


def test_a_piece_never_put_on() -> None:
    assert piece_figures(columns([]), _piece(on_s=None, pulled_s=None))["on_to_pull_s"] is None


def test_a_probe_that_creeps_to_the_pit_is_no_carry_over() -> None:
    core = [*CORE[:520], *line(59.0, 115.0, 600)]
    figures = piece_figures(columns([120.0] * len(core), core1_c=core), _piece())
    assert figures["peak_after_c"] <= 59.0 + 20.0
