"""Why the air is what it is: air and cause are compared between the same two readings, and no cause goes unseen."""

from __future__ import annotations

import itertools

import pytest

from emberboard.core.words import WHYS
from emberdraft.daemon.air_change import Air, air_figures, air_words
from emberdraft.said import render

THEN = {"mode": "hold", "why": "steady", "lid_open": False, "target_c": 121.0, "pit_c": 121.0, "duty": 0.30,
        "p": 0.0, "i": 0.30, "d": 0.0, "ff": 0.0, "fire": 0.30}  # fmt: skip


def said(now, then=None, **more):
    air = Air({**THEN, **now}, None if then is None else {**THEN, **then}, **more)
    return air_words(air), render(air_figures(air)).replace("\u00a0", " ")


# ---- as it was seen: each of these was said, and contradicted itself


def test_a_falling_pit_is_never_called_rising():
    """Seen: 'falling 0.9 a minute ... less because the pit is already rising'."""
    now = {"duty": 0.24, "d": -0.06, "pit_c": 121.2}
    assert said(now, {}, pit_rate=-0.9)[1] == "Blower 24 %, down from 30 % ten minutes ago."
    assert said(now, {}, pit_rate=0.9)[1].endswith(": less because the pit is rising.")


def test_air_that_has_changed_is_not_called_left_as_it_is():
    """Seen: 'leaving the air as it is ... down from 30 %: more because'."""
    words, figures = said({"duty": 0.20, "p": 0.04, "i": 0.16, "pit_c": 120.5}, {})
    assert words == "less air than ten minutes ago"
    assert figures.endswith("down from 30 % ten minutes ago: less because holding takes less than was reckoned then.")


def test_at_a_constant_target_no_change_of_it_is_a_cause():
    """Seen: 'less because the wanted temperature goes down' at a constant one."""
    figures = said({"duty": 0.20, "ff": -0.10, "fire": 0.45}, {})[1]
    assert figures.endswith(": less because the fire is bigger than then.")
    assert "wanted" not in figures
    assert said({"duty": 0.20, "ff": -0.10}, {"target_c": 135.0})[1].endswith(": 135 °C was wanted then.")


# ---- the rules


def test_a_cause_that_explains_less_than_half_is_not_named():
    assert said({"duty": 0.10, "p": -0.08, "pit_c": 122.0}, {})[1] == "Blower 10 %, down from 30 % ten minutes ago."


@pytest.mark.parametrize(
    ("then", "cause"),
    [
        ({"lid_open": True, "duty": 0.0}, "the lid was open then"),
        ({"mode": "drive", "duty": 1.0, "target_c": 260.0}, "the stone was driven then"),
        ({"why": "paused", "duty": 0.0}, "the blower was stopped then"),
        ({"mode": "off", "duty": 0.0, "target_c": None}, "the board was off then"),
    ],
)
def test_what_the_board_did_otherwise_then_is_the_cause(then, cause):
    assert said({}, then)[1].endswith(f": {cause}.")


def test_own_words_of_the_board_are_said_only_where_its_readings_bear_them_out():
    under = {"why": "coast", "pit_c": 110.0}
    assert said(under, {}, pit_rate=2.0)[0] == "held back so as not to pass it"
    assert said(under, {}, pit_rate=-2.0)[0] == "as much air as ten minutes ago"
    assert said({"why": "full_air", "duty": 1.0}, {})[0] == "all air"
    assert said({"why": "full_air", "duty": 0.5}, {})[0] == "more air than ten minutes ago"
    assert said({"why": "steady", "duty": 0.0}, {})[0] == "the blower is off"


def test_whatever_the_terms_are_cause_and_change_point_the_same_way():
    """Every combination: "more" only with more air, "less" only with less, and each cause is seen in the readings."""
    steps = (-0.1, 0.0, 0.1)
    for duty, pit_c, rate, fire, *terms in itertools.product(
        (0.2, 0.3, 0.4), (120.0, 121.0, 122.0), (-1.0, 0.0, 1.0), (0.2, 0.4), steps, steps, steps
    ):
        p, d, ff = terms
        now = {"duty": duty, "pit_c": pit_c, "fire": fire, "p": p, "d": d, "ff": ff}
        figures = said(now, {}, pit_rate=rate)[1]
        assert ("more because" in figures) <= (duty > 0.3)
        assert ("less because" in figures) <= (duty < 0.3)
        assert ("higher than then" in figures) <= (pit_c > 121.0)
        assert ("lower than then" in figures) <= (pit_c < 121.0)
        assert ("is falling" in figures) <= (rate < 0.0)
        assert ("is rising" in figures) <= (rate > 0.0)
        assert ("smaller" in figures) <= (fire < 0.3)
        assert ("bigger" in figures) <= (fire > 0.3)


@pytest.mark.parametrize("why", WHYS)
def test_without_a_reading_of_then_only_the_air_of_now_is_said(why):
    words, figures = said({"why": why})
    assert "ago" not in words + figures
    assert figures == "Blower 30 %."
