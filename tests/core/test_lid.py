"""The lid: told first, felt second."""

from __future__ import annotations

from emberboard.core.lid import Lid


def settled(pit_c: float = 121.0) -> Lid:
    lid = Lid()
    for _ in range(300):
        lid.step(pit_c, 1.0)
    return lid


def test_a_told_lid_is_open_at_once_and_until_told_shut():
    lid = settled()
    lid.tell(True)
    assert lid.is_open
    for k in range(900):
        lid.step(121.0 - min(k, 40), 1.0)
    assert lid.is_open
    lid.tell(False)
    assert not lid.is_open


def test_a_fall_of_a_degree_a_second_is_felt_within_fifteen_seconds():
    lid = settled()
    opened = [lid.step(121.0 - k, 1.0) for k in range(15)]
    assert opened[-1]


def test_the_turn_upwards_is_felt_as_shut():
    lid = settled()
    for k in range(60):
        lid.step(121.0 - k, 1.0)
    for k in range(12):
        lid.step(61.0 + k, 1.0)
    assert not lid.is_open


def test_a_down_step_of_three_degrees_a_minute_is_no_lid():
    lid = settled()
    assert not any(lid.step(121.0 - 0.05 * k, 1.0) for k in range(600))
