"""Whatever is in a record, its figures are numbers that make sense, or None; nothing breaks."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from emberdraft.phases import PHASES
from emberdraft.review.found import disturbances, lid_lifts
from emberdraft.review.phases import phase_figures
from emberdraft.review.pieces import piece_figures
from tests.review.making import START_S, columns, phase

temperature = st.one_of(st.none(), st.floats(-40.0, 450.0))


@st.composite
def traces(draw: st.DrawFn) -> dict[str, list[Any]]:
    """Up to 60 readings, with gaps, missing values, and a lid that opens and shuts."""
    steps = draw(st.lists(st.sampled_from([0.0, 1.0, 1.0, 1.0, 2.0, 90.0]), max_size=60))
    count = len(steps)

    def column(of: st.SearchStrategy[Any]) -> list[Any]:
        return draw(st.lists(of, min_size=count, max_size=count))

    trace = columns(column(temperature), core1_c=column(temperature), stone_c=column(temperature))
    trace["at_s"] = [START_S + sum(steps[: k + 1]) for k in range(count)]
    trace |= {"target_c": column(temperature), "duty": column(st.one_of(st.none(), st.floats(0.0, 1.0)))}
    return trace | {"lid_open": column(st.sampled_from([None, 0, 1]))}


@settings(max_examples=150, deadline=None)
@given(
    trace=traces(),
    names=st.lists(st.sampled_from([*PHASES]), max_size=4),
    on=st.one_of(st.none(), st.floats(0.0, 500.0)),
    pulled=st.one_of(st.none(), st.floats(0.0, 900.0)),
)
def test_figures_of_any_trace(
    trace: dict[str, list[Any]], names: list[str], on: float | None, pulled: float | None
) -> None:
    phases = [phase(name, 20.0 * k, 20.0 * (k + 1)) for k, name in enumerate(names)]
    figures = [phase_figures(trace, row) for row in phases]
    lifts = lid_lifts(trace, phases)
    piece = {"letter": "A", "name": "chop", "probe": 0, "pull_c": 57.0, "rest_c": None}
    times = {"on_s": on and START_S + on, "pulled_s": pulled and START_S + pulled}
    everything = [figures, lifts, disturbances(trace, phases, lifts), piece_figures(trace, piece | times)]
    json.dumps(everything, allow_nan=False)
    for row in figures:
        for share in ("within_3c_share", "mean_air_share"):
            assert row[share] is None or -1e-9 <= row[share] <= 1.0 + 1e-9
        assert row["overshoot_c"] is None or row["overshoot_c"] >= 0.0
        assert row["overshoot_c"] is None or row["shortfall_c"] is None
    for lift in lifts:
        assert lift["open_s"] is None or lift["open_s"] >= 0.0
        assert lift["drop_c"] is None or lift["drop_c"] >= 0.0
