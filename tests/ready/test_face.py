"""The face over the bead: nothing known at first, learnt from what the person notes."""

from __future__ import annotations

import pytest

from emberdraft.ready.face import learn


def test_before_any_reading_it_is_the_bead_with_a_wide_band() -> None:
    low, mid, high = learn([]).face_c(260.0)
    assert mid == 260.0
    assert high - low > 45.0


def test_four_readings_of_fifteen_degrees_over_are_believed() -> None:
    """Normal prior 0 +-20, readings +-8: mean 15 * (4/64) / (4/64 + 1/400) = 14.4 degC."""
    found = learn([(275.0, 260.0)] * 4)
    assert found.over_c == pytest.approx(14.423, abs=0.001)
    assert found.half_c < 8.0
    assert found.count == 4
