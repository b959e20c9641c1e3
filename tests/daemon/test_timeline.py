"""Where the pieces are heading on the one time axis."""

from __future__ import annotations

from types import SimpleNamespace

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.timeline import slot_rows

NOW_S = 1_790_000_000.0
CONDUCTOR = SimpleNamespace(plan=load_plan("two_chops"))


def test_a_piece_with_a_forecast_has_a_slot_at_its_pull_temperature() -> None:
    rows = slot_rows(CONDUCTOR, NOW_S, {"A": {"eta_s": 600.0, "low_s": 480.0, "high_s": 780.0}})
    assert rows == [
        {
            **{"key": "core1", "value_c": 57.0, "text": "out"},
            **{"at_s": NOW_S + 600.0, "low_s": NOW_S + 480.0, "high_s": NOW_S + 780.0},
        }
    ]


def test_no_slot_where_nothing_can_be_said_or_it_is_reached() -> None:
    silent = {"eta_s": None, "low_s": None, "high_s": None}
    reached = {"eta_s": 0.0, "low_s": 0.0, "high_s": 0.0}
    assert slot_rows(CONDUCTOR, NOW_S, {"A": silent, "B": reached}) == []
