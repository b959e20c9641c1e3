"""The report of a cook: figures as one object, and the same figures in words."""

from __future__ import annotations

import json
from typing import Any

import pytest

from emberdraft.errors import UserError
from emberdraft.review import cooks_table, figures_of, summary_text
from emberdraft.store import Store
from tests.store.making import START_S, event


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_the_figures_of_a_cook(store: Store, cook: int) -> None:
    figures = figures_of(store, cook)
    assert figures["cook"]["duration_s"] == 2100.0
    assert figures["cook"]["start_utc"] == "2026-05-28T20:26:40+00:00"
    assert figures["record"]["reading_count"] == 2080
    assert [(gap["why"], gap["end_s"] - gap["start_s"]) for gap in figures["record"]["gaps"]] == [("missing", 21.0)]
    light, slow, climb, bank = figures["phases"]
    assert (light["duration_s"], light["mean_air_share"], light["lid_lifts"]) == (600.0, 1.0, 0)
    assert (slow["time_to_target_s"], slow["lid_lifts"]) == (0.0, 1)
    assert (climb["held"], climb["target_c"], bank["held"]) == ("stone", 280.0, None)
    (piece,) = figures["pieces"]
    # By hand: 10 + 550 * 0.09 = 59.5 at the pull; 57 was reached (57 - 10) / 0.09 = 522.2 s after going on.
    assert piece["pulled_c"] == pytest.approx(59.5)
    assert piece["waited_s"] == 27.0


def test_without_a_host_the_boards_own_alerts_count(store: Store) -> None:
    cook_id = store.begin_cook("yard", "rehearsal", None, START_S)
    store.add_records("yard", "b1", [event(5, "alert", value=351.0, limit=350.0, text="pit_over_limit"), event(6)])
    figures = figures_of(store, cook_id)
    assert [(alarm["at_s"], alarm["alert"]) for alarm in figures["alarms"]] == [(START_S + 5, "pit_over_limit")]
    assert "20:26:45 pit over limit (told by the board)" in summary_text(figures)


def test_the_object_is_json_without_nan(store: Store, cook: int) -> None:
    assert json.loads(json.dumps(figures_of(store, cook), allow_nan=False))["cook"]["name"] == "supper"


def test_every_number_says_its_unit_in_its_key(store: Store, cook: int) -> None:
    units = ("_c", "_s", "_share", "_per_h", "_count", "_n")
    bare = {"id", "probe", "lid_lifts", "invented", "below_usda", "value"}

    def numbers(value: Any, key: str = "") -> list[str]:
        if isinstance(value, dict):
            return [name for k, v in value.items() if k != "gains" for name in numbers(v, k)]
        if isinstance(value, list):
            return [name for item in value for name in numbers(item, key)]
        return [key] if isinstance(value, int | float) else []

    assert {key for key in numbers(figures_of(store, cook)) if not key.endswith(units)} <= bare


def test_the_report_in_words(store: Store, cook: int) -> None:
    assert _plain(summary_text(figures_of(store, cook))).splitlines() == REPORT.strip("\n").splitlines()


def test_in_fahrenheit_a_difference_has_no_offset(store: Store, cook: int) -> None:
    said = _plain(summary_text(figures_of(store, cook), "f"))
    assert "within 5.4 °F" in said
    assert "slow   15 min        248 °F" in said
    assert "pulled 20:46 at 139.1 °F (wanted 135 °F)" in said
    assert "pit fell 90 °F" in said  # 50 degC of difference


def test_a_cook_that_is_not_there_is_named(store: Store) -> None:
    with pytest.raises(UserError, match="no cook 4"):
        figures_of(store, 4)


def test_a_cook_just_begun_has_a_report(store: Store) -> None:
    cook_id = store.begin_cook("yard", "supper", None, START_S)
    said = _plain(summary_text(figures_of(store, cook_id)))
    assert said.startswith("Cook 1: supper, on yard\nBegan 2026-05-28 20:26, still going on.")
    assert "0 readings" in said


def test_the_list_of_cooks(store: Store, cook: int) -> None:
    store.begin_cook("shed", "rain test", None, START_S + 7200.0)
    assert _plain(cooks_table(store.cooks())).splitlines() == [
        "cook  began               lasted  cooker  name",
        "   2  2026-05-28 22:26  going on  shed    rain test",
        "   1  2026-05-28 20:26    35 min  yard    supper (simulated)",
    ]
    assert "No cook has been recorded" in cooks_table([])


REPORT = """
Cook 1: supper, on yard
Simulated: no real fire was burned.
Began 2026-05-28 20:26, 35 min, ended: plan.

phase  length        target  to target  most over  within 3 °C      RMS    air  strokes/h  lid
light  10 min        120 °C     10 min     0.0 °C          3 %   1.8 °C  100 %        0.0    0
slow   15 min        120 °C        0 s     2.0 °C         84 %  11.9 °C   25 %        0.0    1
climb   5 min  stone 280 °C          -     9.4 °C          3 %   5.0 °C  100 %        0.0    0
bank    5 min             -          -          -            -        -    0 %        0.0    0

Pieces
  A thick chop: in 9 min, pulled 20:46 at 59.5 °C (wanted 57 °C), rose to 64.0 °C

Safe food
  A thick chop: highest 64.0 °C. USDA advises 73.9 °C on leaving the heat: not reached.
  It left the heat at 59.5 °C, below what USDA advises.
  Food the chart does not name: only the full temperature counts, not time at a lower one.
  Between 4 °C and 60 °C for 9 min; at most 4 h 00 min while it cooks is common practice.
  Where it is not being cooked: at most 2 h 00 min in all, 1 h 00 min in air above 32 °C (USDA).
  Figures beside a curve, not a verdict on food: local food codes come first.

Lid
  20:46:40 open 50 s: pit fell 50 °C, back 2 min after it was shut, then 2.0 °C over

Alarms
  20:46:30 pull: A is at 57 °C (cleared)

Record: 2 080 readings, 1 gap, 21 s missing in all.
"""
