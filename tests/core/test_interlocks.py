"""Each interlock at, below and above its boundary, the expected answer stated as a formula."""

from __future__ import annotations

import pytest

from emberboard.core import interlocks as ask


@pytest.mark.parametrize("n", range(6))
def test_sensor_fault_is_three_in_a_row(n: int):
    assert ask.sensor_fault(n) == (n >= 3)


@pytest.mark.parametrize("n", range(5))
def test_over_limit_is_two_in_a_row(n: int):
    assert ask.over_limit(n) == (n >= 2)


@pytest.mark.parametrize(("value", "limit"), [(349.75, 350.0), (350.0, 350.0), (350.25, 350.0)])
def test_at_or_over_includes_the_limit(value: float, limit: float):
    assert ask.at_or_over(value, limit) == (value >= limit)


@pytest.mark.parametrize("unanswered_s", [0.0, 719.0, 720.0, 721.0])
def test_not_answering_is_twelve_minutes(unanswered_s: float):
    assert ask.not_answering(unanswered_s) == (unanswered_s >= 720.0)


@pytest.mark.parametrize(("duty", "short"), [(0.89, 9.0), (0.9, 9.0), (1.0, 5.0), (1.0, 5.1), (0.0, 50.0)])
def test_heat_is_asked_for_by_much_air_and_a_short_pit(duty: float, short: float):
    assert ask.asks_for_heat(duty, short) == (duty >= 0.9 and short > 5.0)


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
