"""Each interlock at, below and above its boundary, the expected answer stated as a formula."""

from __future__ import annotations

import pytest

from emberboard.core import interlocks as ask


@pytest.mark.parametrize("n", range(6))
@pytest.mark.parametrize("of_sixty", [6, 20, 21, 60])
def test_sensor_fault_is_three_in_a_row_or_more_than_twenty_of_sixty(n: int, of_sixty: int):
    assert ask.sensor_fault(n, of_sixty) == (n >= 3 or of_sixty > 20)


@pytest.mark.parametrize("n", range(5))
@pytest.mark.parametrize("of_sixty", [0, 5, 6, 60])
def test_over_limit_is_two_in_a_row_or_six_of_sixty(n: int, of_sixty: int):
    assert ask.over_limit(n, of_sixty) == (n >= 2 or of_sixty >= 6)


@pytest.mark.parametrize(("value", "limit"), [(349.75, 350.0), (350.0, 350.0), (350.25, 350.0)])
def test_at_or_over_includes_the_limit(value: float, limit: float):
    assert ask.at_or_over(value, limit) == (value >= limit)


@pytest.mark.parametrize("unanswered_s", [0.0, 719.0, 720.0, 721.0])
@pytest.mark.parametrize(("pit_c", "from_c"), [(59.0, 59.0), (60.0, 60.0), (88.0, 90.0), (89.0, 90.0)])
def test_not_answering_is_twelve_minutes_and_cold_or_fallen(unanswered_s: float, pit_c: float, from_c: float):
    lost = pit_c < 60.0 or from_c - pit_c >= 2.0
    assert ask.not_answering(unanswered_s, pit_c, from_c) == (unanswered_s >= 720.0 and lost)


@pytest.mark.parametrize("duty", [0.0, 0.89, 0.9, 1.0])
def test_heat_is_asked_for_by_full_air(duty: float):
    assert ask.asks_for_heat(duty) == (duty >= 0.9)


@pytest.mark.parametrize("fall", [6.9, 7.0, 7.1, -20.0])
def test_the_lid_fell_open_at_seven_degrees(fall: float):
    assert ask.lid_fell_open(100.0 - fall, 100.0, 0.0) == (fall >= 7.0)
    assert not ask.lid_fell_open(100.0 - fall, 100.0, max(fall, 0.0))


@pytest.mark.parametrize("rise", [0.0, 1.4, 1.5, 3.0])
def test_the_lid_is_back_after_a_degree_and_a_half(rise: float):
    assert ask.lid_is_back(80.0 + rise, 80.0) == (rise >= 1.5)


@pytest.mark.parametrize("step", [11.9, 12.0, -12.0, -11.9])
def test_a_jump_counts_in_both_directions(step: float):
    assert ask.impossible_jump(100.0 + step, 100.0, 12.0) == (abs(step) >= 12.0)
