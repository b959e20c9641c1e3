"""The guard that the board's is measured by, against sums done by hand; and what the search must be able to find."""

from __future__ import annotations

from typing import Any

import pytest

from tests.safety import late_trips
from tests.safety.late_trips import LATE_S, STORIES, Sequence
from tests.safety.reference_guard import ReferenceGuard

HOLD = {"mode": "hold", "target_c": 121.0}


def trips_at(pit_c, duty=0.0, orders=(), seconds=7200, rpm=None) -> tuple[int, str]:
    """When the reference trips, (-1, '') for never; `orders` by second, a hold at 121 degC from the start."""
    guard = ReferenceGuard()
    guard.accepted("mode", dict(HOLD))
    for t_s in range(1, seconds):
        for at_s, name, args in orders:
            if at_s == t_s:
                guard.accepted(name, args)
        air = duty(t_s) if callable(duty) else duty
        trip = guard.tick(pit_c(t_s), air, air, rpm, None)
        if trip:
            return t_s, trip
    return -1, ""


def test_a_dead_fire_is_twelve_minutes_of_full_air_after_ten():
    at_s, trip = trips_at(lambda t_s: 50.0, duty=1.0)
    assert (trip, abs(at_s - 1320) <= 2) == ("not_answering", True)


def test_a_pit_that_gains_two_degrees_in_twelve_minutes_answers_and_a_hot_plateau_is_no_dead_fire():
    assert trips_at(lambda t_s: 60.0 + 2.1 * t_s / 720.0, duty=1.0) == (-1, "")
    assert trips_at(lambda t_s: 100.0, duty=1.0) == (-1, "")


@pytest.mark.parametrize(
    ("name", "args"),
    [("target", {"target_c": 120.99}), ("mode", {"mode": "hold"}), ("lid", {"open": False}), ("gains", {"kp": 0.1})],
)
def test_no_order_begins_the_wait_anew_but_an_acknowledgement_and_a_change_of_mode(name, args):
    assert trips_at(lambda t_s: 50.0, duty=1.0, orders=[(1200, name, args)])[0] <= 1322
    for other in (("acknowledge", {"id": "all"}), ("mode", {"mode": "drive", "stone_c": 260.0})):
        assert trips_at(lambda t_s: 50.0, duty=1.0, orders=[(1200, *other)])[0] >= 1200 + 1320 - 2


def test_while_a_page_keeps_the_air_away_the_clocks_stand():
    """Open for 300 s: the twelve minutes of full air are over 300 s later."""
    orders = [(1000, "lid", {"open": True}), (1300, "lid", {"open": False})]
    at_s, _ = trips_at(lambda t_s: 50.0, duty=lambda t_s: float(not 1000 <= t_s < 1300), orders=orders)
    assert abs(at_s - 1620) <= 3


def test_a_runaway_is_25_over_five_minutes_without_air_and_rising():
    """From 121 at 1 degC a minute after a quarter of an hour: 25 over after 40 min."""
    at_s, trip = trips_at(lambda t_s: 121.0 + max(0, t_s - 900) / 60.0)
    assert (trip, abs(at_s - 2400) <= 2) == ("runaway", True)
    assert trips_at(lambda t_s: 121.0 + min(max(0, t_s - 900), 1490) / 60.0) == (-1, "")


def test_an_arrival_that_overshoots_and_a_pit_that_comes_down_are_no_runaways():
    assert trips_at(lambda t_s: 121.0 + t_s / 60.0)[1] != "runaway"  # never near for ten minutes
    down = trips_at(
        lambda t_s: 121.0 if t_s < 900 else 150.0 + 0.001 * t_s, orders=[(800, "target", {"target_c": 110.0})]
    )
    assert down[1] != "runaway"


def test_grease_is_20_degrees_over_the_last_half_minute():
    """t seconds into 2 degC a second the mean of 30 s is t (t + 1) / 30 up: 2 t less that is 20 after 13 s."""
    at_s, trip = trips_at(lambda t_s: 50.0 + 2.0 * max(0, t_s - 1000))
    assert (trip, abs(at_s - 1013) <= 1) == ("grease", True)
    assert trips_at(lambda t_s: 50.0 + 0.9 * max(0, t_s - 1000), seconds=1100) == (-1, "")


def test_the_lids_button_makes_it_wait_and_a_page_does_not():
    guard = ReferenceGuard()
    guard.accepted("mode", dict(HOLD))
    guard.button(held=False)
    guard.tick(50.0, 1.0, 1.0, None, None)
    guard.accepted("lid", {"open": False})
    assert guard.lid_there
    guard.button(held=True)
    guard.tick(50.0, 1.0, 1.0, None, None)
    assert guard.lid_shut_s == 1.0


def test_the_limit_of_a_hold():
    """40 over the target; begun at 300, 30 over the lowest mean of three minutes; lowered from 260, never up again."""
    at_s, trip = trips_at(lambda t_s: 121.0 + 0.1 * t_s, duty=0.1)
    assert (trip, abs(at_s - 401) <= 1) == ("over_limit", True)
    at_s, trip = trips_at(lambda t_s: 300.0 + min(30.0, max(0.0, 0.3 * (t_s - 600))), duty=0.1)
    assert (trip, abs(at_s - 701) <= 1) == ("over_limit", True)
    assert trips_at(lambda t_s: 300.0 + min(29.9, max(0.0, 0.3 * (t_s - 600))), duty=0.1) == (-1, "")
    lowered = [(t_s, "target", {"target_c": 121.0 - 0.01 * t_s / 300}) for t_s in range(300, 7200, 300)]
    assert trips_at(lambda t_s: 121.0 + t_s / 60.0, duty=0.1, orders=lowered)[0] <= 40 * 60 + 2


def test_a_wheel_that_stands_for_ten_driven_seconds():
    assert trips_at(lambda t_s: 60.0, duty=1.0, rpm=0.0) == (10, "stall")
    assert trips_at(lambda t_s: 60.0, duty=lambda t_s: float(t_s % 9 > 0), rpm=0.0, seconds=500) == (-1, "")


# ---- what the search finds: a board that forgets with its orders, as the first release's did


class Forgetful:
    """A board with the reference's own guard, which begins anew with each order of `names`."""

    def __init__(self, names: tuple[str, ...]) -> None:
        self.names, self.guard = names, ReferenceGuard()
        self.out: Any = type("Out", (), {"duty": 0.0, "drive": 0.0})()
        self.alerts: dict[str, Any] = {}
        self.events: list[Any] = []

    def order(self, name: str, args: dict[str, Any], now_ms: int) -> tuple[str, str]:
        self.guard.accepted(name, args)
        if name in self.names and self.guard.mode_s > 0.0:  # not the one that starts it
            self.guard._begin()
            self.guard.half_minute.clear()
            self.guard.lid_shut_s = 0.0  # a page's word counted as a lid
        return "", ""

    def tick(self, now_ms: int, inputs: Any) -> Any:
        guard = self.guard
        if inputs.lid_button or inputs.lid_held:
            guard.button(inputs.lid_held)
        wanted_c = guard.stone_c if guard.mode == "drive" else guard.target_c
        shut = not (guard.lid_there or guard.lid_page)
        self.out.duty = self.out.drive = float(shut and guard.mode != "off" and wanted_c - inputs.pit_c > 5.0)
        trip = guard.tick(inputs.pit_c, self.out.duty, self.out.drive, inputs.tach_rpm, inputs.stone_c)
        if trip:
            self.alerts[trip] = type("Alert", (), {"kind": "trip"})()
        return self.out


HOLES = {
    "grease fire": (15, "shut"),
    "runaway": (600, "open and shut"),
    "dead fire": (600, "lower"),
    "stall": (8, "shut"),
}


def attacked(seed: int, board: Any = None) -> Sequence:
    """A story under the one script that is known to put its trip off."""
    one = Sequence(seed, board)
    period_s, kind = HOLES[one.story.name]
    one.orders, one.presses = late_trips.every(period_s, kind, one.story, one.draw), {}
    if one.story.name == "dead fire":
        one.story.mode = "hold"
    return one.run()


@pytest.mark.parametrize("name", HOLES)
def test_the_search_finds_a_board_that_begins_anew_with_an_order(name):
    seed = next(k for k, story in enumerate(STORIES) if story.name == name)
    late = attacked(seed, Forgetful(("lid", "target"))).late
    assert late is not None
    assert late.story == name
    assert attacked(seed, Forgetful(())).late is None


def test_a_random_search_finds_it_too_and_blames_no_board_that_forgets_nothing():
    found = [Sequence(seed, Forgetful(("lid", "target", "mode"))).run().late for seed in range(25)]
    assert sum(late is not None for late in found) >= 5
    good = [Sequence(seed, Forgetful(())).run() for seed in range(25)]
    assert [one.late for one in good] == [None] * 25
    assert sum(one.tripped != "" for one in good) >= 15
    assert LATE_S == 60


def test_a_run_that_was_stopped_goes_on_where_it_was(tmp_path):
    kept = tmp_path / "deep" / "block.json"
    late_trips.resumed(range(3), kept)
    told = late_trips.resumed(range(5), kept)
    taken, trips, late = late_trips.search(range(5))
    assert told == {"next": 5, "taken": taken, "trips": trips, "late": [str(one) for one in late]}
