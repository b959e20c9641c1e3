"""Where the pieces are heading on the one time axis."""

from __future__ import annotations

from types import SimpleNamespace

from emberdraft.daemon.plan import load_plan
from emberdraft.daemon.steps import expected_s
from emberdraft.daemon.timeline import slot_rows, upcoming_rows
from tests.daemon.cook import Cook, plan_of

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


def test_what_is_to_come_names_the_deeds_and_tells_apart_what_goes_by_itself() -> None:
    c = Cook(plan_of()).to("light")
    rows = upcoming_rows(c.conductor, c.now_s, {})
    assert [(str(row["text"]), row.get("deed", True)) for row in rows][:3] == [
        ("Soak at 115\u00a0°C: the walls take up heat", False),
        ("Set in the deflector, the grate, the searing stone", True),
        ("Put on the tempered chop (A) and the cold chop (B)", True),
    ]
    assert [row["at_s"] for row in rows] == sorted(row["at_s"] for row in rows)


def test_a_soak_that_takes_longer_still_ends_with_setting_in() -> None:
    """What is asked next is not passed over because its reckoned moment has passed."""
    c = Cook(plan_of()).to("soak")
    late_s = c.now_s + 2.0 * expected_s(c.conductor.plan, "soak")
    first = upcoming_rows(c.conductor, late_s, {})[0]
    assert (first["text"], first["deed"]) == ("Set in the deflector, the grate, the searing stone", True)
    asked = Cook(plan_of()).to("set_up")
    assert not any(str(row["text"]).startswith("Set in") for row in upcoming_rows(asked.conductor, late_s, {}))


def test_a_plan_without_a_set_up_goes_on_by_itself() -> None:
    c = Cook(plan_of(name="hold")).to("light")
    rows = upcoming_rows(c.conductor, c.now_s, {})
    assert [row.get("deed", True) for row in rows if str(row["text"]).startswith(("Soak", "Slow"))] == [False] * sum(
        str(row["text"]).startswith(("Soak", "Slow")) for row in rows
    )


def test_while_it_settles_the_pieces_are_what_comes_next() -> None:
    c = Cook(plan_of()).to("settle")
    first = upcoming_rows(c.conductor, c.now_s, {})[0]
    assert first["text"] == "Put on the tempered chop (A)"
    assert first["at_s"] > c.now_s
