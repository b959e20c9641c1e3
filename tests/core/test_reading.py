"""Readings: one bad sample forgiven, three not, stale is no value; level and slope of a ramp."""

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


def test_level_and_slope_follow_a_ramp_exactly():
    """The fading-memory line has no error on a ramp once it has settled (its defining property)."""
    line = Smooth(20.0)
    for k in range(400):
        line.update(20.0 + 0.05 * k, 1.0)
    assert line.level == pytest.approx(20.0 + 0.05 * 399, abs=1e-4)
    assert line.slope == pytest.approx(0.05, abs=1e-6)


def test_quarter_degree_steps_leave_a_fiftieth_of_their_raw_slope():
    line, worst = Smooth(20.0), 0.0
    for k in range(600):
        line.update(math.floor((110.0 + 0.001 * k) * 4.0) / 4.0, 1.0)
        if k > 100:
            worst = max(worst, abs(line.slope - 0.001))
    assert worst < 0.25 / 50.0
