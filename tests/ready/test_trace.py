"""Readings and marks on one grid."""

from __future__ import annotations

import numpy as np

from emberdraft.ready.trace import STEP_S, part, trace_of


def _rows(seconds: int) -> dict[str, list[float | None]]:
    t = list(range(0, seconds, 5))
    return {
        "t_s": t, "pit_c": [100.0 + s / 100.0 for s in t], "stone_c": [None for _ in t],
        "drive": [0.5 for _ in t], "opening": [None for _ in t], "lid_open": [100 <= s < 160 for s in t],
    }  # fmt: skip


def test_what_was_not_measured_is_not_a_number_and_the_damper_is_open_where_there_is_none() -> None:
    trace = trace_of(_rows(600), [])
    assert np.all(np.isnan(trace.stone_c))
    assert np.all(trace.opening == 1.0)
    assert np.all(np.isfinite(trace.pit_c))
    assert trace.lid.sum() * STEP_S == 60.0


def test_marks_count_from_their_moment() -> None:
    trace = trace_of(_rows(600), [(200.0, "vent_top", 0.5), (300.0, "vent_bottom", 0.5), (400.0, "piece_on", 0.8)])
    assert trace.vent_top[5] == 0.25
    assert trace.vent_top[-1] == 0.5
    assert trace.opening[-1] == 0.5
    assert (trace.food_kg[5], trace.food_kg[-1]) == (0.0, 0.8)


def test_a_gap_keeps_the_air_and_leaves_the_temperature_open() -> None:
    rows = _rows(600)
    keep = [i for i, t in enumerate(rows["t_s"]) if not 200 < t <= 400]
    trace = trace_of({name: [values[i] for i in keep] for name, values in rows.items()}, [])
    hole = (trace.t_s > 230.0) & (trace.t_s < 380.0)
    assert np.all(np.isnan(trace.pit_c[hole]))
    assert np.all(trace.speed[hole] == 0.5)


def test_a_trace_can_be_cut_in_two() -> None:
    trace = trace_of(_rows(600), [])
    assert trace.until(200.0).length + part(trace, 200.0).length == trace.length
