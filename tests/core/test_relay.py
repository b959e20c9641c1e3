"""The relay test on the board: inside its bounds, and over at once when anything else matters."""

from __future__ import annotations

import pytest

from emberboard.core import relay
from tests.core.cooker import Run

STEADY_S = 5400


def holding() -> Run:
    return Run().hold().seconds(STEADY_S)


def ended(run: Run) -> bool:
    return any(kind == "relay_end" for kind, *_ in run.controller.events)


def test_a_whole_test_swings_about_the_target_within_its_bounds_and_the_hold_goes_on():
    run = holding()
    learnt = run.controller.hold.see.hold_air(121.0)
    assert run.order("relay") == ("", "")
    duties, gaps, seconds = set(), [], 0
    while run.controller.relay.left_s > 0.0:
        run.seconds(1)
        seconds += 1
        if run.out.why == "relay":
            duties.add(round(run.out.duty, 4))
            gaps.append(abs(run.cooker.pit_c - 121.0))
    assert ended(run)
    assert run.controller.relay.swings == relay.SWINGS
    room = min(0.1, learnt)
    assert duties == {round(learnt - room, 4), round(learnt + 1.2 * room, 4)}
    assert max(gaps) < relay.STRAY_C
    assert 600 < seconds < relay.LONGEST_S
    assert run.seconds(900).out.why != "relay"
    assert run.cooker.pit_c == pytest.approx(121.0, abs=3.0)


@pytest.mark.parametrize(
    ("name", "args"),
    [("lid", {"open": True}), ("target", {"target_c": 110.0}), ("relay", {"on": False}), ("mode", {"mode": "bank"})],
)
def test_an_order_ends_it_at_once(name: str, args: dict[str, object]):
    run = holding()
    run.order("relay")
    run.seconds(60)
    assert run.out.why == "relay"
    assert run.order(name, **args) == ("", "")
    run.seconds(1)
    assert run.controller.relay.left_s == 0.0
    assert ended(run)
    assert run.seconds(10).out.why != "relay"


def test_a_probe_that_is_lost_ends_it_and_the_air():
    run = holding()
    run.order("relay")
    run.seconds(60)
    run.seconds(120, pit_c=None, pit_fault="open")
    assert ended(run)
    assert run.out.duty == 0.0


def test_it_ends_when_the_pit_strays():
    run = holding()
    run.order("relay")
    run.seconds(60)
    run.cooker.pit_c += 14.0
    run.seconds(120)
    assert ended(run)


def test_three_hours_end_it_where_nothing_swings():
    run = holding()
    run.order("relay")
    for _ in range(int(relay.LONGEST_S) + 20):
        run.cooker.pit_c = 121.0
        run.seconds(1)
        if ended(run):
            break
    assert ended(run)
    assert run.controller.relay.left_s == 0.0


def test_it_begins_only_in_a_calm_hold():
    run = Run()
    assert run.order("relay")[0] == "not_now"
    run.hold().seconds(300)
    assert run.order("relay")[0] == "not_now"  # on its way up
    run.seconds(STEADY_S)
    run.order("lid", open=True)
    run.seconds(2)
    assert run.order("relay")[0] == "not_now"


def test_a_fire_that_holds_without_air_leaves_no_room():
    run = holding()
    run.controller.hold.see.need = 0.0001
    assert run.order("relay")[0] == "not_now"
    assert run.controller.relay.left_s == 0.0
