"""What the rest adds to a piece that is still a plan."""

from __future__ import annotations

import pytest

from emberdraft.food.planned import planned, pull_for


def test_a_thick_piece_rises_further_than_a_thin_one_and_a_hot_pit_adds() -> None:
    thin, thick = planned(54.4, 4.0, 110.0, 0.025), planned(54.4, 4.0, 110.0, 0.06)
    assert thick.peak_c[1] > thin.peak_c[1] > 54.4
    assert planned(54.4, 4.0, 200.0, 0.06).peak_c[1] > thick.peak_c[1]


def test_the_worked_slab_lies_within_the_band() -> None:
    """Series of a plane wall (any textbook of heat transfer): 60 mm from a 110 degC pit, pulled at 54.4, rises 3.8."""
    low_c, _, high_c = planned(54.4, 4.0, 110.0, 0.06).peak_c
    assert low_c < 54.4 + 3.8 < high_c


def test_a_steak_takes_what_the_trade_says() -> None:
    """35 to 40 mm from the fridge at a 121 degC pit to 46 degC: 35 to 60 min, common practice, no source."""
    low_s, mid_s, high_s = planned(46.0, 4.0, 121.0, 0.038).takes_s
    assert 25.0 * 60.0 < mid_s < 60.0 * 60.0
    assert low_s < mid_s < high_s


@pytest.mark.parametrize("final_c", [55.0, 60.0, 68.0])
def test_pulled_where_it_says_the_middle_of_the_peak_is_the_wanted_one(final_c: float) -> None:
    pull_c = pull_for(final_c, 4.0, 115.0, 0.05)
    assert pull_c < final_c
    assert planned(pull_c, 4.0, 115.0, 0.05).peak_c[1] == pytest.approx(final_c, abs=0.3)
