"""The guesses live through the past again as they lived through it the first time, and stay many."""

from __future__ import annotations

import numpy as np
import pytest

from emberdraft.food import past
from emberdraft.food.guesses import COUNT, Guesses, Lived
from emberdraft.food.past import Past


def test_two_steps_become_one_and_no_time_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(past, "MOST", 4)
    lived = Past(20.0)
    for pit_c in (100.0, 110.0, 120.0, 130.0):
        lived.add(pit_c)
        lived.read(pit_c / 10.0)
    lived.halve()
    assert lived.step_s == 40.0
    assert list(lived) == [(105.0, 11.0, 0), (125.0, 13.0, 0)]


def test_living_through_the_past_again_ends_where_it_is_now() -> None:
    guesses = Guesses(np.random.default_rng(1), 0.02, 0.4, 5.0)
    for i in range(60):
        guesses.advance(110.0)
        guesses.weigh(5.0 + max(0, i - 8) * 0.3)
    again = Lived(guesses._z, *guesses._begins)
    again.live(guesses.past)
    assert again.slabs.temp_c == pytest.approx(guesses.slabs.temp_c, abs=1e-6)
    assert again.error_c == pytest.approx(guesses.lived.error_c, abs=1e-6)


def test_a_sharp_record_leaves_many_different_guesses() -> None:
    guesses = Guesses(np.random.default_rng(2), 0.02, 0.7, 5.0)
    for i in range(100):
        guesses.advance(115.0)
        guesses.weigh(5.0 + max(0, i - 10) * 0.35)
    assert guesses.spread_count() > COUNT / 10
    assert np.unique(guesses.slabs.half_m).size > COUNT / 5
