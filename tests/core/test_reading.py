"""Readings: one bad sample forgiven, three not, stale is no value, a step down is added; level and slope of a ramp."""

from __future__ import annotations

import math

import pytest

from emberboard.core.reading import Reading, Smooth
from emberboard.core.words import FAULTS

NAMED = [name for name in FAULTS if name]


def pit() -> Reading:
    """A pit channel that has seen thirty good samples at 110 degC."""
    reading = Reading((-40.0, 700.0), 12.0)
    for _ in range(30):
        reading.accept(110.0, "")
    return reading


@pytest.mark.parametrize("fault", NAMED)
def test_three_bad_samples_in_a_row_are_a_fault_and_two_are_not(fault: str):
    reading = pit()
    assert reading.accept(None, fault) and reading.accept(None, fault)
    assert reading.value_c == 110.0
    assert not reading.accept(None, fault)
    assert (reading.value_c, reading.fault) == (None, fault)


def test_good_samples_are_not_counted_with_the_bad_ones_of_a_minute():
    reading = pit()
    for _ in range(25):
        reading.accept(110.0, "")
    assert reading.accept(None, "open")
    assert reading.value_c == 110.0


@pytest.mark.parametrize(
    ("raw", "name"),
    [(None, "stale"), (math.nan, "nan"), (math.inf, "range"), (-41.0, "range"), (701.0, "range"), ("hot", "nan")],
)
def test_what_is_no_temperature_is_a_fault_although_the_chip_named_none(raw: object, name: str):
    reading = pit()
    for _ in range(3):
        reading.accept(raw, "")
    assert (reading.value_c, reading.fault) == (None, name)


def test_a_probe_that_never_spoke_is_absent():
    reading = Reading((-40.0, 700.0))
    for _ in range(3):
        reading.accept(None, "")
    assert reading.fault == "absent"


def test_healthy_again_after_thirty_good_samples_and_not_before():
    reading = pit()
    for _ in range(3):
        reading.accept(None, "open")
    for _ in range(29):
        reading.accept(111.0, "")
    assert reading.value_c is None
    reading.accept(111.0, "")
    assert (reading.value_c, reading.fault) == (111.0, "")


def test_one_wild_sample_is_forgiven():
    reading = pit()
    assert reading.accept(160.0, "")
    assert reading.value_c == 110.0
    assert reading.accept(110.25, "")
    assert reading.accept(110.25, "")
    assert reading.value_c == 110.25


@pytest.mark.parametrize(
    "lies", [(121.75,), (98.25,), (125.0, 110.0, 121.9), (98.0, 133.0), (135.0, 96.0), (121.9, 98.1)]
)
def test_lies_of_one_sample_are_neither_seen_nor_taken_for_a_step_down_afterwards(lies: tuple[float, ...]):
    """A lie just short of a jump is believed; back from it is no step down, which would hold the pit too cold."""
    reading, seen = pit(), []
    for raw_c in (*lies, *[110.0] * 10):
        assert reading.accept(raw_c, "")
        seen.append(reading.value_c)
    assert (reading.fault, reading.low_c, reading.value_c) == ("", 0.0, 110.0)
    if len(lies) == 1:
        assert set(seen) == {110.0}


def test_a_value_is_the_middle_one_of_the_last_three():
    reading, seen = pit(), []
    for raw_c in (111.0, 112.0, 109.0, 113.0, 114.0):
        reading.accept(raw_c, "")
        seen.append(reading.value_c)
    assert seen == [110.0, 111.0, 111.0, 112.0, 113.0]


@pytest.mark.parametrize("step_c", [15.0, -15.0, 40.0, -40.0])
def test_a_step_that_stays_is_a_jump_within_three_samples(step_c: float):
    reading = pit()
    for k in range(3):
        reading.accept(110.0 + step_c + 0.25 * (k % 2), "")
    assert reading.fault == "jump"


def test_a_fast_fall_that_goes_on_is_a_lid_and_no_fault():
    reading = pit()
    for k in range(8):
        assert reading.accept(110.0 - 14.0 * (1 + k) / (1 + 0.1 * k), "")


def steps_to(reading: Reading, *levels_c: float, samples: int = 33) -> Reading:
    """The probe stands at each level long enough to be a fault and to be good again."""
    for level_c in levels_c:
        for _ in range(samples):
            reading.accept(level_c, "")
    return reading


@pytest.mark.parametrize(
    ("levels_c", "low_c"),
    [
        ([95.0], 15.0),  # what it fell by is added again
        ([95.0, 80.0], 30.0),  # twice is both
        ([70.0], 40.0),  # no more than can be believed
        ([80.0, 65.0], 40.0),
        ([125.0], 0.0),  # up is believed: the pit is too cold then, never too hot
        ([95.0, 108.0], 2.0),  # back up takes it away again
        ([95.0, 115.0], 0.0),  # and not more
    ],
)
def test_a_step_down_that_stays_is_added_until_a_person_has_looked(levels_c: list[float], low_c: float):
    reading = steps_to(pit(), *levels_c)
    assert (reading.low_c, reading.condemned) == (low_c, "")
    assert (reading.value_c, reading.raw_c) == (levels_c[-1] + low_c, levels_c[-1] + low_c)
    reading.pardon()
    reading.accept(levels_c[-1], "")
    assert (reading.low_c, reading.value_c, reading.raw_c) == (0.0, levels_c[-1], levels_c[-1])


@pytest.mark.parametrize(("step_c", "condemned"), [(-40.0, ""), (-40.25, "jump")])
def test_a_step_too_large_to_add_is_a_broken_probe_until_a_person_has_looked(step_c: float, condemned: str):
    reading = steps_to(pit(), 110.0 + step_c, samples=100)
    assert (reading.condemned, reading.fault, reading.value_c is None) == (condemned, condemned, bool(condemned))
    assert reading.low_c == 40.0
    reading.pardon()
    steps_to(reading, 110.0 + step_c, samples=29)
    assert (reading.value_c is None) == bool(condemned)
    reading.accept(110.0 + step_c, "")
    assert (reading.value_c, reading.fault) == (110.0 + step_c, "")


def test_a_probe_that_is_pardoned_at_once_is_believed_after_thirty_good_samples():
    reading = steps_to(pit(), 110.0, samples=60)
    reading.condemn("frozen")
    reading.pardon()
    steps_to(reading, 110.0, samples=29)
    assert (reading.value_c, reading.fault) == (None, "frozen")
    reading.accept(110.0, "")
    assert (reading.value_c, reading.fault) == (110.0, "")


def test_only_a_step_is_added_and_not_what_another_fault_hid():
    reading = pit()
    for raw_c, fault in ((None, "open"), (None, "open"), (None, "open"), *[(80.0, "")] * 40):
        reading.accept(raw_c, fault)
    assert (reading.value_c, reading.low_c) == (80.0, 0.0)
    for raw_c, fault in ((60.0, ""), (60.0, ""), (None, "open"), *[(60.0, "")] * 40):
        reading.accept(raw_c, fault)
    assert (reading.value_c, reading.low_c) == (60.0, 0.0)


@pytest.mark.parametrize(("further_c", "moves"), [(2.25, False), (2.5, True), (2.75, True), (-2.5, True)])
def test_what_goes_on_by_two_and_a_half_degrees_moves_and_has_not_jumped(further_c: float, moves: bool):
    reading = pit()
    reading.accept(90.0, "")
    reading.accept(90.0 - further_c, "")
    assert (reading.bad == 0) == moves


@pytest.mark.parametrize(("raw_c", "good"), [(-40.0, True), (-40.25, False), (700.0, True), (700.25, False)])
def test_the_bounds_of_the_range_belong_to_it(raw_c: float, good: bool):
    reading = Reading((-40.0, 700.0), 12.0)
    reading.accept(raw_c, "")
    assert (reading.value_c, reading.bad) == ((raw_c, 0) if good else (None, 1))
    assert reading.low_c == 0.0


def test_a_new_channel_needs_three_bad_samples_like_any_other():
    reading = Reading((-40.0, 700.0), 12.0)
    assert [reading.accept(None, "open") for _ in range(3)] == [True, True, False]


@pytest.mark.parametrize(("jump_c", "fault"), [(12.0, "frozen"), (None, "")])
def test_a_piece_of_food_may_stay_at_one_temperature_and_the_pit_may_not(jump_c: float | None, fault: str):
    reading = Reading((-40.0, 700.0), jump_c)
    for k in range(60):
        reading.accept(110.0 + (0.0, 0.25, -0.5, 0.5)[k % 4], "")  # noise of several steps of the chip
    steps_to(reading, 110.0, samples=200)
    assert reading.fault == fault


def test_a_sample_stands_for_a_second_where_nothing_else_is_said():
    reading = pit()
    reading.accept(110.0, "")
    assert reading.noise.same_s == 30.0


@pytest.mark.parametrize("dt_s", [1.0, 2.0, 5.0])
def test_level_and_slope_follow_a_ramp_exactly(dt_s: float):
    """The fading-memory line has no error on a ramp once it has settled (its defining property)."""
    line = Smooth(20.0)
    assert line.slope == 0.0
    for k in range(400):
        line.update(20.0 + 0.05 * dt_s * k, dt_s)
    assert line.level == pytest.approx(20.0 + 0.05 * dt_s * 399, abs=1e-4)
    assert line.slope == pytest.approx(0.05, abs=1e-6)
    line.reset()
    assert (line.slope, line.update(50.0, dt_s)) == (0.0, 50.0)
    theta = math.exp(-dt_s / 20.0)
    assert line.update(60.0, dt_s) == pytest.approx(60.0 - 10.0 * theta * theta)
    assert line.slope == pytest.approx(10.0 * (1.0 - theta) ** 2 / dt_s)


def test_quarter_degree_steps_leave_a_fiftieth_of_their_raw_slope():
    line, worst = Smooth(20.0), 0.0
    for k in range(600):
        line.update(math.floor((110.0 + 0.001 * k) * 4.0) / 4.0, 1.0)
        if k > 100:
            worst = max(worst, abs(line.slope - 0.001))
    assert worst < 0.25 / 50.0


def test_what_a_person_must_look_at_before_it_is_believed_as_it_stands():
    reading = Reading((-40.0, 700.0), 12.0)
    assert not reading.is_doubted()
    reading.condemn("frozen")
    assert reading.is_doubted()
    reading.pardon()
    assert not reading.is_doubted()
    reading.low_c = 0.5
    assert reading.is_doubted()
    reading.pardon()
    assert not reading.is_doubted()
